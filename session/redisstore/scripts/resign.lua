-- resign: give a shard up. The fence number stays, so that the next owner gets a higher one.
-- KEYS[1] lead  HASH owner, until (ms), n fence number, k key ids
-- ARGV[1] owner who gives up
-- returns ok: it is free, or was not this owner's
if redis.call('HGET', KEYS[1], 'owner') == ARGV[1] then
  redis.call('HDEL', KEYS[1], 'owner', 'until', 'k')
end
return {'ok'}
