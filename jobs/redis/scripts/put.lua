-- Puts one new notice, and nothing else: the commonest change, without the
-- part that the other scripts share. What is not simple it leaves to
-- commit.lua, and changes nothing.
--
-- KEYS  1 due set
-- ARGV  1 operation, 2 its day, 3 id, 4 due, 5 due within the runners' sleep:
--       '1' or '0', 6 door or '', 7... fields of the notice
-- Returns 1 done, 0 for commit.lua to do: the notice stands already, the
--         operation is known, or its day is closed.
local P, call = string.sub(KEYS[1], 1, -4), redis.call
local id, at, door = ARGV[3], ARGV[4], ARGV[6]
local key = P .. 'n:' .. id

if call('EXISTS', key) == 1 or redis.pcall('HSETNX', P .. 'ops:' .. ARGV[2], ARGV[1], 0) ~= 1 then return 0 end
call('HSET', key, 'd', at, unpack(ARGV, 7))
call('ZADD', KEYS[1], at, id)
if door ~= '' then call('ZADD', P .. 'list:' .. door, at, id) end
if ARGV[5] == '1' and call('ZRANK', KEYS[1], id) == 0 then call('PUBLISH', P .. 'nudge', at) end
return 1
