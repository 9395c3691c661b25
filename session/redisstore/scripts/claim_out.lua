-- claim_out: hold entries of one lane whose time has come, so that nobody else sends them meanwhile.
-- KEYS[1] lead  HASH   n is the current fence number
-- KEYS[2] lane  ZSET   REV:ID by not-before or end of hold
-- KEYS[3] tag   HASH   REV:CLAIM of each entry
-- KEYS[4] body  HASH   sealed entries
-- KEYS[5] n     STRING the last REV or CLAIM given
-- ARGV[1] fence number of the caller
-- ARGV[2] now (ms)
-- ARGV[3] end of the hold (ms)
-- ARGV[4] most to take
-- returns ok: followed by id, tag and sealed entry of each, by score and then as posted
-- returns fenced: another replica serves the shard
-- A resend after a lost reply finds nothing: the entries come again when the hold ends; late, never lost.
if (redis.call('HGET', KEYS[1], 'n') or '0') ~= ARGV[1] then
  return {'fenced'}
end
-- A server out of memory refuses a script only at its first growing write. This write of nothing
-- goes first, so that what was decided still gets out when memory is full.
redis.call('HDEL', KEYS[1], '')
local found = redis.call('ZRANGEBYSCORE', KEYS[2], '-inf', ARGV[2], 'LIMIT', '0', ARGV[4])
local out = {'ok'}
for i = 1, #found do
  local member = found[i]
  local id = string.sub(member, 18)
  local tag = string.sub(member, 1, 17) .. string.format('%.0f', redis.call('INCR', KEYS[5]))
  redis.call('HSET', KEYS[3], id, tag)
  redis.call('ZADD', KEYS[2], ARGV[3], member)
  out[#out + 1] = id
  out[#out + 1] = tag
  out[#out + 1] = redis.call('HGET', KEYS[4], id) or ''
end
return out
