-- Drops marks and open questions that have had their time. A day whose marks
-- are dropped is closed: the string in place of its hash refuses every mark.
--
-- KEYS  1 due set
-- ARGV  1 first day that stays open, 2 floor for all other marks, in ms
-- Returns 1.
local open = tonumber(ARGV[1])
for day = tonumber(call('GET', P .. 'open') or open - 1), open - 1 do
  call('UNLINK', P .. 'ops:' .. int(day))
  call('SET', P .. 'ops:' .. int(day), 'closed')
  call('SET', P .. 'open', int(day + 1))
end
call('ZREMRANGEBYSCORE', P .. 'seen', '-inf', '(' .. ARGV[2])
call('ZREMRANGEBYSCORE', P .. 'pace', '-inf', '(' .. ARGV[2])
for _, key in ipairs(call('ZRANGEBYSCORE', P .. 'asked', '-inf', '(' .. ARGV[2], 'LIMIT', 0, 1000)) do
  call('HDEL', P .. 'questions', key)
  call('ZREM', P .. 'asked', key)
end
local claims = call('HGETALL', P .. 'claims')
for i = 1, #claims, 2 do
  if tonumber(string.match(claims[i + 1], '%S+$')) < tonumber(ARGV[2]) then
    call('HDEL', P .. 'claims', claims[i])
    call('HDEL', P .. 'settled', claims[i])
  end
end
return 1
