-- Keeps a file.
--
-- KEYS  1 due set
-- ARGV  1 hash, 2 content
call('SETNX', P .. 'file:' .. ARGV[1], ARGV[2])
return 1
