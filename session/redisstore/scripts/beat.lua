-- beat: note that all that had come in by then is stored; never an earlier instant than before.
-- KEYS[1] beat STRING the newest instant (ms)
-- ARGV[1] the instant (ms)
-- returns ok: it is noted, or a later one was
local last = redis.call('GET', KEYS[1])
if not last or tonumber(last) < tonumber(ARGV[1]) then
  redis.call('SET', KEYS[1], ARGV[1])
end
return {'ok'}
