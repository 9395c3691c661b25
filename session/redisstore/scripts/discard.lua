-- discard: drop a letter that has no effect to commit.
-- KEYS[1] lead  HASH   n is the current fence number
-- KEYS[2] in    STREAM the shard's inbox
-- ARGV[1] fence number of the caller
-- ARGV[2] seq of the letter
-- returns ok: it is gone, or was gone before
-- returns fenced: another replica serves the shard
if (redis.call('HGET', KEYS[1], 'n') or '0') ~= ARGV[1] then
  return {'fenced'}
end
redis.call('XDEL', KEYS[2], ARGV[2])
return {'ok'}
