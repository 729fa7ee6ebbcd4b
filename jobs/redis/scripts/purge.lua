-- Deletes a door with its log, its memberships, its notices, the record of
-- what was sent for it, and what was said in its thread in a room of our own.
--
-- KEYS  1 due set
-- ARGV  1 door
-- Returns 1, or 0 if there is no such door.
local door = ARGV[1]
local x = call('HGET', P .. 'door:' .. door, 'x')
if not x then return 0 end
for name in string.gmatch(x, '([^\t\n]+)\t') do call('ZREM', P .. 'index:' .. name, door) end
for _, id in ipairs(call('ZRANGE', P .. 'list:' .. door, 0, -1)) do drop(id) end
call('DEL', P .. 'door:' .. door, P .. 'log:' .. door, P .. 'sent:' .. door, P .. 'list:' .. door,
  P .. 'told:' .. door, P .. 'telling:' .. door)
return 1
