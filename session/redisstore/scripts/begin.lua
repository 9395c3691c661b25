-- begin: what a decision begins with, at one instant: whether its cause was committed, and the records it reads.
-- KEYS[1] done   STRING of the cause
-- KEYS[2..] rec  HASH v version, b sealed body; one key for each record
-- returns ok: followed by '1' or '' for the cause, then version and body of each, in the order asked; both empty when there is none
local out = {'ok', ''}
if redis.call('EXISTS', KEYS[1]) == 1 then
  out[2] = '1'
end
for i = 2, #KEYS do
  local got = redis.call('HMGET', KEYS[i], 'v', 'b')
  out[#out + 1] = got[1] or ''
  out[#out + 1] = got[2] or ''
end
return out
