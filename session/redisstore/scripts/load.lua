-- load: read some records of one shard at one instant.
-- KEYS[1..] rec  HASH v version, b sealed body; one key for each record
-- returns ok: followed by version and body of each, in the order asked; both empty when there is none
local out = {'ok'}
for i = 1, #KEYS do
  local got = redis.call('HMGET', KEYS[i], 'v', 'b')
  out[#out + 1] = got[1] or ''
  out[#out + 1] = got[2] or ''
end
return out
