-- Drops marks and open questions that have had their time. Operations made before the floor
-- are refused from now on: their marks are gone.
--
-- KEYS  1 due set
-- ARGV  1 floor for operations, 2 floor for seen keys and questions, 3 floor for runners
-- Returns how many marks were dropped.
local floor = math.max(tonumber(ARGV[1]), tonumber(call('GET', P .. 'floor') or 0))
call('SET', P .. 'floor', int(floor))
local n = call('ZREMRANGEBYSCORE', P .. 'ops', '-inf', '(' .. int(floor * 1024))
n = n + call('ZREMRANGEBYSCORE', P .. 'seen', '-inf', '(' .. ARGV[2])
call('ZREMRANGEBYSCORE', P .. 'pace', '-inf', '(' .. ARGV[2])
for _, key in ipairs(call('ZRANGEBYSCORE', P .. 'asked', '-inf', '(' .. ARGV[2], 'LIMIT', 0, 1000)) do
  call('HDEL', P .. 'questions', key)
  n = n + call('ZREM', P .. 'asked', key)
end
local claims = call('HGETALL', P .. 'claims')
for i = 1, #claims, 2 do
  if tonumber(string.match(claims[i + 1], '%S+$')) < tonumber(ARGV[3]) then
    n = n + call('HDEL', P .. 'claims', claims[i])
    call('HDEL', P .. 'settled', claims[i])
  end
end
return n
