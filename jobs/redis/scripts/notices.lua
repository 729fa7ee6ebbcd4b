-- Reads notices in the order of a sorted set: a door's list, or the failed.
--
-- KEYS  1 due set
-- ARGV  1 name of the set under the tag, 2 first rank, 3 last rank
-- Returns {id, fields, id, fields...}
local a = {}
for _, id in ipairs(call('ZRANGE', P .. ARGV[1], ARGV[2], ARGV[3])) do
  a[#a + 1] = id
  a[#a + 1] = call('HGETALL', note(id))
end
return a
