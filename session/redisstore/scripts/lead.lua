-- lead: take a shard, or renew its lease.
-- KEYS[1] lead  HASH owner, until (ms), n fence number, k key ids
-- ARGV[1] owner who asks
-- ARGV[2] now (ms)
-- ARGV[3] end of the lease (ms)
-- ARGV[4] ids of the keys the owner can open, parted by spaces
-- returns ok: followed by the fence number; a new owner gets one more than anyone before
-- returns fenced: followed by who holds it
-- A resend after a lost reply renews and answers the same number.
-- A server out of memory refuses a script only at its first growing write. This write of nothing
-- goes first, so that a shard keeps its server when memory is full.
redis.call('HDEL', KEYS[1], '')
local held = redis.call('HMGET', KEYS[1], 'owner', 'until', 'n')
if held[1] == ARGV[1] then
  redis.call('HSET', KEYS[1], 'until', ARGV[3], 'k', ARGV[4])
  return {'ok', held[3]}
end
if held[1] and tonumber(held[2]) > tonumber(ARGV[2]) then
  return {'fenced', held[1]}
end
redis.call('HSET', KEYS[1], 'owner', ARGV[1], 'until', ARGV[3], 'k', ARGV[4])
redis.call('HINCRBY', KEYS[1], 'n', '1')
return {'ok', redis.call('HGET', KEYS[1], 'n')}
