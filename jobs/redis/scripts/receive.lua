-- Stores a message that came in as a notice that is due.
--
-- KEYS  1 due set
-- ARGV  1 now, 2 seen key, 3 number of puts (1), 4... the notice as put in
--       lib.lua reads it
-- Returns 1 stored, now or before by the same receipt; 0 seen before.
local now, seen, id = ARGV[1], ARGV[2], ARGV[5]
if call('ZADD', P .. 'seen', 'NX', now, seen) == 0 then return call('EXISTS', note(id)) end
put(4, now)
return 1
