-- present: note that a replica is here, and list all that are.
-- KEYS[1] replicas ZSET names by when they count as gone (ms)
-- ARGV[1] owner who says so, '' to only take ARGV[4] off
-- ARGV[2] now (ms)
-- ARGV[3] when it counts as gone (ms)
-- ARGV[4] a replica that leaves, or ''
-- returns ok: followed by a list of the names of all that are here
-- A server out of memory refuses a script only at its first growing write. This write of nothing
-- goes first, so that replicas still find each other when memory is full.
redis.call('ZREM', KEYS[1], '')
if ARGV[4] ~= '' then
  redis.call('ZREM', KEYS[1], ARGV[4])
end
redis.call('ZREMRANGEBYSCORE', KEYS[1], '-inf', ARGV[2])
if ARGV[1] ~= '' then
  redis.call('ZADD', KEYS[1], ARGV[3], ARGV[1])
end
return {'ok', redis.call('ZRANGE', KEYS[1], '0', '-1')}
