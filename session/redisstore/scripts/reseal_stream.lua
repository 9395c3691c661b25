-- reseal_stream: lay a stream anew with some bodies sealed with another key. Entries of a stream cannot be changed in
-- place; their ids, order and number stay, so that whoever holds an id may still use it.
-- KEYS[1] STREAM
-- ARGV[1..] for each body: id of the entry, field, the sealed body that was read, the sealed body to put there
-- returns ok: followed by how many were replaced; what came, went or was written meanwhile is as it was
-- A resend after a lost reply replaces none.
local swap, n = {}, 0
for i = 1, #ARGV, 4 do
  swap[ARGV[i] .. ' ' .. ARGV[i + 1]] = {ARGV[i + 2], ARGV[i + 3]}
end
local all = redis.call('XRANGE', KEYS[1], '-', '+')
for e = 1, #all do
  local f = all[e][2]
  for i = 1, #f, 2 do
    local s = swap[all[e][1] .. ' ' .. f[i]]
    if s and s[1] == f[i + 1] then
      f[i + 1] = s[2]
      n = n + 1
    end
  end
end
if n == 0 then
  return {'ok', 0}
end
-- An id beyond every id ever given here, kept so that none is given twice. It is also the first write, which a full
-- or read-only server refuses before anything is gone.
local top = redis.call('XADD', KEYS[1], '*', 'x', '')
redis.call('DEL', KEYS[1])
for e = 1, #all do
  redis.call('XADD', KEYS[1], all[e][1], unpack(all[e][2]))
end
redis.call('XADD', KEYS[1], top, 'x', '')
redis.call('XDEL', KEYS[1], top)
return {'ok', n}
