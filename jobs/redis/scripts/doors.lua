-- Reads doors in the order of an index.
--
-- KEYS  1 due set
-- ARGV  1 index, 2 first rank, 3 last rank
-- Returns {number of doors in the index, door, version, state, door...}
local set = P .. 'index:' .. ARGV[1]
local a = {call('ZCARD', set)}
for _, door in ipairs(call('ZRANGE', set, ARGV[2], ARGV[3])) do
  local h = call('HMGET', P .. 'door:' .. door, 'v', 's')
  a[#a + 1] = door
  a[#a + 1] = h[1]
  a[#a + 1] = h[2]
end
return a
