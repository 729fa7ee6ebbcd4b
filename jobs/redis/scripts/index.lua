-- Puts a door into other sets, if it is still as it was read.
--
-- KEYS  1 due set
-- ARGV  1 door, 2 its version, 3 memberships: "name\tscore" joined by newlines
-- Returns 1, or 0 if the door has another version.
local dkey = P .. 'door:' .. ARGV[1]
local old = call('HMGET', dkey, 'v', 'x')
if old[1] ~= ARGV[2] then return 0 end
call('HSET', dkey, 'x', ARGV[3])
index(ARGV[1], old[2] or '', ARGV[3])
return 1
