-- Keeps a file, binds a name to its hash, and deletes the file that the name
-- was bound to.
--
-- KEYS  1 due set
-- ARGV  1 name, 2 hash, 3 content
local old = call('HGET', P .. 'refs', ARGV[1])
if old and old ~= ARGV[2] then call('DEL', P .. 'file:' .. old) end
call('SET', P .. 'file:' .. ARGV[2], ARGV[3])
call('HSET', P .. 'refs', ARGV[1], ARGV[2])
return 1
