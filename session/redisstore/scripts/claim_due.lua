-- claim_due: hold items whose next look is due, so that no second sweep takes them. It removes none.
-- KEYS[1] lead     HASH n is the current fence number
-- KEYS[2] due      ZSET the due index
-- KEYS[3] due:for  HASH what held items are due for
-- ARGV[1] fence number of the caller
-- ARGV[2] now (ms)
-- ARGV[3] end of the hold (ms)
-- ARGV[4] most to take
-- returns ok: followed by item and what it is due for (ms) of each, by score
-- returns fenced: another replica serves the shard
-- A resend after a lost reply finds nothing: the items come again when the hold ends; late, never lost.
if (redis.call('HGET', KEYS[1], 'n') or '0') ~= ARGV[1] then
  return {'fenced'}
end
local found = redis.call('ZRANGEBYSCORE', KEYS[2], '-inf', ARGV[2], 'WITHSCORES', 'LIMIT', '0', ARGV[4])
local out = {'ok'}
for i = 1, #found, 2 do
  local item = found[i]
  redis.call('HSETNX', KEYS[3], item, found[i + 1])
  redis.call('ZADD', KEYS[2], ARGV[3], item)
  out[#out + 1] = item
  out[#out + 1] = redis.call('HGET', KEYS[3], item)
end
return out
