-- backlog: what waits in a shard, at one instant.
-- KEYS[1] in       STREAM the inbox
-- KEYS[2] dead     STREAM the dead letters
-- KEYS[3] due      ZSET   the due index
-- KEYS[4] due:for  HASH   what held items are due for
-- KEYS[5] urgent   ZSET   lane
-- KEYS[6] slow     ZSET   lane
-- KEYS[7] made     ZSET   urgent ids by when they were made
-- returns ok: followed by counts of letters, dead letters, urgent and slow entries, then (ms, '' for none) when the oldest letter was got, the earliest look is due and the oldest urgent entry was made
local got = ''
local first = redis.call('XRANGE', KEYS[1], '-', '+', 'COUNT', '1')
if #first > 0 then
  local pairs_ = first[1][2]
  for i = 1, #pairs_, 2 do
    if pairs_[i] == 't' then
      got = pairs_[i + 1]
    end
  end
end
local due = redis.call('ZRANGE', KEYS[3], '0', '0', 'WITHSCORES')[2] or ''
local held = redis.call('HVALS', KEYS[4])
for i = 1, #held do
  if due == '' or tonumber(held[i]) < tonumber(due) then
    due = held[i]
  end
end
local made = redis.call('ZRANGE', KEYS[7], '0', '0', 'WITHSCORES')[2] or ''
return {'ok', redis.call('XLEN', KEYS[1]), redis.call('XLEN', KEYS[2]), redis.call('ZCARD', KEYS[5]), redis.call('ZCARD', KEYS[6]), got, due, made}
