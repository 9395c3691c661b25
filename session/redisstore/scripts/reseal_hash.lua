-- reseal_hash: put the same body sealed with another key in the place of the one that was read. Versions stay, so that
-- whoever loaded the record may still commit it.
-- KEYS[1..] HASH of each body
-- ARGV[1..] for each body: its field, the sealed body that was read, the sealed body to put there
-- returns ok: followed by how many were replaced; one that is gone or was written meanwhile stays as it is
-- A resend after a lost reply replaces none.
local n = 0
for i = 1, #KEYS do
  if redis.call('HGET', KEYS[i], ARGV[i * 3 - 2]) == ARGV[i * 3 - 1] then
    redis.call('HSET', KEYS[i], ARGV[i * 3 - 2], ARGV[i * 3])
    n = n + 1
  end
end
return {'ok', n}
