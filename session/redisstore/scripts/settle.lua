-- settle: end or postpone a claimed entry, remember what was posted, and pass a note on.
-- KEYS[1] lead    HASH   n is the current fence number
-- KEYS[2] lane    ZSET   REV:ID by not-before or end of hold
-- KEYS[3] body    HASH   sealed entries
-- KEYS[4] tag     HASH   REV:CLAIM of each entry
-- KEYS[5] made    ZSET   urgent ids by when they were made
-- KEYS[6] panels  HASH   message ids
-- KEYS[7] in      STREAM the shard's inbox
-- KEYS[8] seen    STRING of the note; any key of the shard when there is none
-- ARGV[1] fence number of the caller
-- ARGV[2] id of the entry
-- ARGV[3] tag it was claimed under
-- ARGV[4] when to try again (ms), '' to end it
-- ARGV[5] sealed entry to keep for then
-- ARGV[6] field of the panel
-- ARGV[7] message id to remember there, '-' to forget, '' to leave it
-- ARGV[8] id of the note, '' for none
-- ARGV[9] when the note was got (ms)
-- ARGV[10] sealed body of the note
-- ARGV[11] window in which the same note id counts as a repeat (ms)
-- ARGV[12] time to live of the seen key (ms)
-- returns ok: done
-- returns stale: the entry was replaced, cancelled, settled or claimed anew; only panel and note were written
-- returns fenced: another replica serves the shard; nothing was written
-- A resend after a lost reply answers stale and changes nothing more.
if (redis.call('HGET', KEYS[1], 'n') or '0') ~= ARGV[1] then
  return {'fenced'}
end
-- A server out of memory refuses a script only at its first growing write. This write of nothing
-- goes first, so that what was decided still gets out when memory is full.
redis.call('HDEL', KEYS[1], '')
if ARGV[8] ~= '' then
  local last = redis.call('GET', KEYS[8])
  if not last or tonumber(ARGV[9]) - tonumber(last) >= tonumber(ARGV[11]) then
    redis.call('SET', KEYS[8], ARGV[9], 'PX', ARGV[12])
    redis.call('XADD', KEYS[7], '*', 'i', ARGV[8], 't', ARGV[9], 'b', ARGV[10])
  end
end
if ARGV[7] == '-' then
  redis.call('HDEL', KEYS[6], ARGV[6])
elseif ARGV[7] ~= '' then
  redis.call('HSET', KEYS[6], ARGV[6], ARGV[7])
end
if redis.call('HGET', KEYS[4], ARGV[2]) ~= ARGV[3] then
  return {'stale'}
end
local rev = string.sub(ARGV[3], 1, 17)
if ARGV[4] == '' then
  redis.call('ZREM', KEYS[2], rev .. ARGV[2])
  redis.call('HDEL', KEYS[3], ARGV[2])
  redis.call('HDEL', KEYS[4], ARGV[2])
  redis.call('ZREM', KEYS[5], ARGV[2])
else
  redis.call('ZADD', KEYS[2], ARGV[4], rev .. ARGV[2])
  redis.call('HSET', KEYS[3], ARGV[2], ARGV[5])
  redis.call('HSET', KEYS[4], ARGV[2], rev .. '0')
end
return {'ok'}
