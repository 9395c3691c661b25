-- pending: count what waits in the outbox of a shard, at one instant.
-- KEYS[1] urgent  ZSET lane
-- KEYS[2] slow    ZSET lane
-- KEYS[3] made    ZSET urgent ids by when they were made
-- returns ok: followed by both counts and the oldest made (ms, '' when nothing urgent waits)
local oldest = redis.call('ZRANGE', KEYS[3], '0', '0', 'WITHSCORES')
return {'ok', redis.call('ZCARD', KEYS[1]), redis.call('ZCARD', KEYS[2]), oldest[2] or ''}
