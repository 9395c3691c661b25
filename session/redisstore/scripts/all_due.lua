-- all_due: read the whole due index of a shard at one instant.
-- KEYS[1] due      ZSET the due index
-- KEYS[2] due:for  HASH what held items are due for
-- returns ok: followed by a list of item, score, item, score, … and a list of item, due for, …
return {'ok', redis.call('ZRANGE', KEYS[1], '0', '-1', 'WITHSCORES'), redis.call('HGETALL', KEYS[2])}
