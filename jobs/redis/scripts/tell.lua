-- Writes an entry into the log of a place in a room, unless one of its id
-- stands there. The oldest goes where a place holds as many as it keeps.
--
-- KEYS  1 due set
-- ARGV  1 place, 2 id, 3 the entry, 4 how many the place keeps
-- Returns the entry's number, counted over all places, and 1; or the number of
-- the one that stood there, and 0.
local ids = P .. 'telling:' .. ARGV[1]
local there = call('ZSCORE', ids, ARGV[2])
if there then return {tonumber(there), 0} end
local n = call('INCR', P .. 'telling')
if call('ZCARD', ids) >= tonumber(ARGV[4]) then call('ZPOPMIN', ids) end
call('ZADD', ids, int(n), ARGV[2])
call('XADD', P .. 'told:' .. ARGV[1], 'MAXLEN', ARGV[4], int(n) .. '-0', 'id', ARGV[2], 'e', ARGV[3])
return {n, 1}
