-- bury: move a letter to the dead letters; its sealed body is moved as it is.
-- KEYS[1] lead  HASH   n is the current fence number
-- KEYS[2] in    STREAM the shard's inbox
-- KEYS[3] dead  STREAM the dead letters
-- ARGV[1] fence number of the caller
-- ARGV[2] seq of the letter
-- ARGV[3] sealed reason
-- ARGV[4] most dead letters to keep
-- returns ok: it was moved
-- returns gone: no such letter, nothing was written (also the answer to a resend)
-- returns fenced: another replica serves the shard
if (redis.call('HGET', KEYS[1], 'n') or '0') ~= ARGV[1] then
  return {'fenced'}
end
local found = redis.call('XRANGE', KEYS[2], ARGV[2], ARGV[2])
if #found == 0 then
  return {'gone'}
end
local pairs_ = found[1][2]
local f = {}
for i = 1, #pairs_, 2 do
  f[pairs_[i]] = pairs_[i + 1]
end
redis.call('XADD', KEYS[3], 'MAXLEN', ARGV[4], '*', 'q', ARGV[2], 'i', f['i'], 't', f['t'], 'b', f['b'], 'w', ARGV[3])
redis.call('XDEL', KEYS[2], ARGV[2])
return {'ok'}
