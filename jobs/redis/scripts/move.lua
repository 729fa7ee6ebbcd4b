-- Moves one notice that is due and was never claimed, and nothing else. What
-- is not simple it leaves to commit.lua, and changes nothing.
--
-- KEYS  1 due set
-- ARGV  1 operation, 2 its day, 3 id, 4 due, 5 due within the
--       runners' sleep: '1' or '0'
-- Returns 1 done, 0 for commit.lua to do: see cancel.lua; or it is due then
--         already.
local P, call = string.sub(KEYS[1], 1, -4), redis.call
local op, id, at = ARGV[1], ARGV[3], ARGV[4]
local key, ops = P .. 'n:' .. id, P .. 'ops:' .. ARGV[2]

local h = call('HMGET', key, 'k', 'n', 'o')
if not h[1] or h[2] or redis.pcall('HSETNX', ops, op, 1) ~= 1 then return 0 end
if call('ZADD', KEYS[1], 'XX', 'CH', at, id) == 0 then
  call('HDEL', ops, op)
  return 0
end
call('HSET', key, 'd', at)
if h[3] then call('ZADD', P .. 'list:' .. h[3], at, id) end
if ARGV[5] == '1' and call('ZRANK', KEYS[1], id) == 0 then call('PUBLISH', P .. 'nudge', at) end
return 1
