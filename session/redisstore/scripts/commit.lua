-- commit: everything one cause does, or nothing. All refusals come before the first write, because
-- Redis does not roll a script back. The first write is one that a full or read-only server refuses.
-- KEYS[1] lead     HASH   n is the current fence number
-- KEYS[2] done     STRING of this cause
-- KEYS[3] in       STREAM the shard's inbox
-- KEYS[4] due      ZSET   the due index
-- KEYS[5] due:for  HASH   what held items are due for
-- KEYS[6] recs     ZSET   the keys of all records
-- KEYS[7] urgent   ZSET   lane
-- KEYS[8] slow     ZSET   lane
-- KEYS[9] body     HASH   sealed entries
-- KEYS[10] tag     HASH   REV:CLAIM of each entry
-- KEYS[11] made    ZSET   urgent ids by when they were made
-- KEYS[12] n       STRING the last REV or CLAIM given
-- KEYS[13..] the HASH of each written record, then the seen STRING of each note
-- ARGV[1] fence number of the caller; -1 of a guest, which does not serve this shard: there versions and cause decide
-- ARGV[2] now (ms)
-- ARGV[3] time to live of the done and seen keys (ms)
-- ARGV[4] seq of the letter that is settled, or ''
-- ARGV[5] how many writes
-- ARGV[6] how many due items
-- ARGV[7] how many cancels
-- ARGV[8] how many posts
-- ARGV[9] how many notes
-- ARGV[10] window in which the same note id counts as a repeat (ms)
-- ARGV[11..] writes: key, version loaded, version to store ('' deletes), sealed body
--            due items: item, due (ms, '' removes)
--            cancels: id
--            posts: id, 'urgent' or 'slow', not before (ms), made (ms), sealed entry
--            notes: id, got (ms), sealed body
-- returns ok: all of it was done
-- returns done: the cause was committed before, nothing was written (also the answer to a resend)
-- returns conflict: followed by the key of a record that changed since it was loaded; nothing was written
-- returns fenced: another replica serves the shard; nothing was written
if ARGV[1] ~= '-1' and (redis.call('HGET', KEYS[1], 'n') or '0') ~= ARGV[1] then
  return {'fenced'}
end
if redis.call('EXISTS', KEYS[2]) == 1 then
  return {'done'}
end
local writes, dues, cancels = tonumber(ARGV[5]), tonumber(ARGV[6]), tonumber(ARGV[7])
local posts, notes = tonumber(ARGV[8]), tonumber(ARGV[9])
local k, a = 13, 11
for i = 0, writes - 1 do
  if (redis.call('HGET', KEYS[k + i], 'v') or '0') ~= ARGV[a + 4 * i + 1] then
    return {'conflict', ARGV[a + 4 * i]}
  end
end

redis.call('SET', KEYS[2], ARGV[2], 'PX', ARGV[3])
if ARGV[4] ~= '' then
  redis.call('XDEL', KEYS[3], ARGV[4])
end

for i = 1, writes do
  if ARGV[a + 2] == '' then
    redis.call('DEL', KEYS[k])
    redis.call('ZREM', KEYS[6], ARGV[a])
  else
    redis.call('HSET', KEYS[k], 'v', ARGV[a + 2], 'b', ARGV[a + 3])
    redis.call('ZADD', KEYS[6], '0', ARGV[a])
  end
  k, a = k + 1, a + 4
end

for i = 1, dues do
  if ARGV[a + 1] == '' then
    redis.call('ZREM', KEYS[4], ARGV[a])
  else
    redis.call('ZADD', KEYS[4], ARGV[a + 1], ARGV[a])
  end
  redis.call('HDEL', KEYS[5], ARGV[a])
  a = a + 2
end

local function drop(id)
  local tag = redis.call('HGET', KEYS[10], id)
  if tag then
    local member = string.sub(tag, 1, 16) .. ':' .. id
    redis.call('ZREM', KEYS[7], member)
    redis.call('ZREM', KEYS[8], member)
    redis.call('HDEL', KEYS[9], id)
    redis.call('HDEL', KEYS[10], id)
    redis.call('ZREM', KEYS[11], id)
  end
end
for i = 1, cancels do
  drop(ARGV[a])
  a = a + 1
end
for i = 1, posts do
  local id = ARGV[a]
  drop(id)
  local rev = string.format('%016.0f', redis.call('INCR', KEYS[12]))
  local lane = KEYS[8]
  if ARGV[a + 1] == 'urgent' then
    lane = KEYS[7]
    redis.call('ZADD', KEYS[11], ARGV[a + 3], id)
  end
  redis.call('ZADD', lane, ARGV[a + 2], rev .. ':' .. id)
  redis.call('HSET', KEYS[9], id, ARGV[a + 4])
  redis.call('HSET', KEYS[10], id, rev .. ':0')
  a = a + 5
end

for i = 1, notes do
  local last = redis.call('GET', KEYS[k])
  if not last or tonumber(ARGV[a + 1]) - tonumber(last) >= tonumber(ARGV[10]) then
    redis.call('SET', KEYS[k], ARGV[a + 1], 'PX', ARGV[3])
    redis.call('XADD', KEYS[3], '*', 'i', ARGV[a], 't', ARGV[a + 1], 'b', ARGV[a + 2])
  end
  k, a = k + 1, a + 3
end
return {'ok'}
