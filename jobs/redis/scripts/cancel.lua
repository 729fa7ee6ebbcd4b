-- Cancels one notice that is due and was never claimed, and nothing else.
-- What is not simple it leaves to commit.lua, and changes nothing.
--
-- KEYS  1 due set
-- ARGV  1 operation, 2 its day, 3 id
-- Returns 1 done, 0 for commit.lua to do: the operation is known or its day
--         closed, the notice is not there, was claimed before (and may hold
--         its thread), or waits behind its thread.
local P, call = string.sub(KEYS[1], 1, -4), redis.call
local op, id = ARGV[1], ARGV[3]
local key, ops = P .. 'n:' .. id, P .. 'ops:' .. ARGV[2]

local h = call('HMGET', key, 'k', 'n', 'o')
if not h[1] or h[2] or redis.pcall('HSETNX', ops, op, 1) ~= 1 then return 0 end
if call('ZREM', KEYS[1], id) == 0 then
  call('HDEL', ops, op)
  return 0
end
call('DEL', key)
if h[3] then call('ZREM', P .. 'list:' .. h[3], id) end
return 1
