-- Puts one new notice, and nothing else: the commonest change, without the
-- part that the other scripts share. What is not simple it leaves to
-- commit.lua, and changes nothing.
--
-- KEYS  1 due set
-- ARGV  1 operation, 2 its mark in the ops set, 3 id, 4 due, 5 due within the
--       runners' sleep: '1' or '0', 6 door or '', 7... fields of the notice
-- Returns 1 done, 0 for commit.lua to do: the notice stands already, or the
--         operation is known or too old.
local P, call = string.sub(KEYS[1], 1, -4), redis.call
local mark, id, at, door = ARGV[2], ARGV[3], ARGV[4], ARGV[6]
local key = P .. 'n:' .. id

if call('EXISTS', key) == 1 or tonumber(mark) < 1024 * (call('GET', P .. 'floor') or 0) then return 0 end
if call('ZADD', P .. 'ops', 'NX', mark, ARGV[1]) == 0 then return 0 end
call('HSET', key, 'd', at, unpack(ARGV, 7))
call('ZADD', KEYS[1], at, id)
if door ~= '' then call('ZADD', P .. 'list:' .. door, at, id) end
if ARGV[5] == '1' and call('ZRANK', KEYS[1], id) == 0 then call('PUBLISH', P .. 'nudge', at) end
return 1
