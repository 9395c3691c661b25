-- take: keep a letter unless one of the same id was got within the window.
-- KEYS[1] in    STREAM the shard's inbox
-- KEYS[2] seen  STRING when a letter of this id was got (ms)
-- ARGV[1] id of the letter
-- ARGV[2] when it was got (ms)
-- ARGV[3] sealed body
-- ARGV[4] window in which the same id counts as a repeat (ms)
-- ARGV[5] time to live of the seen key (ms)
-- returns fresh: it was kept
-- returns seen: it was got before, nothing was written
-- A resend after a lost reply answers seen: the letter is in the inbox, once.
local last = redis.call('GET', KEYS[2])
if last and tonumber(ARGV[2]) - tonumber(last) < tonumber(ARGV[4]) then
  return {'seen'}
end
redis.call('SET', KEYS[2], ARGV[2], 'PX', ARGV[5])
redis.call('XADD', KEYS[1], '*', 'i', ARGV[1], 't', ARGV[2], 'b', ARGV[3])
return {'fresh'}
