-- Puts, cancels or moves one notice, and nothing else: the commonest change,
-- without the part that the other scripts share. What is not simple it leaves
-- to commit.lua, and changes nothing.
--
-- KEYS  1 due set
-- ARGV  1 now, 2 operation, 3 what: 'p' put, 'c' cancel, 'm' move, 4 its mark
--       in the ops set, 5 id, 6 due or '', 7 due within the runners' sleep:
--       '1' or '0', 8 door or '', then the fields of a notice to put
-- Returns 1 done, 0 for commit.lua to do: the operation is known or too old,
--         the notice stands already, is not there, is not waiting for its
--         first try, or holds its place in a thread.
local P, call = string.sub(KEYS[1], 1, -4), redis.call
local now, op, what, id, at, door = ARGV[1], ARGV[2], ARGV[3], ARGV[5], ARGV[6], ARGV[8]
local key, ops = P .. 'n:' .. id, P .. 'ops'

if tonumber(now) < tonumber(call('GET', P .. 'floor') or 0) then return 0 end
if what == 'p' then
  if call('EXISTS', key) == 1 or call('ZADD', ops, 'NX', ARGV[4], op) == 0 then return 0 end
  call('HSET', key, 'd', at, unpack(ARGV, 9))
  call('ZADD', KEYS[1], at, id)
else
  local h = call('HMGET', key, 'k', 't', 'n', 'o')
  if not h[1] or h[2] or h[3] then return 0 end
  door = h[4] or ''
  if call('ZADD', ops, 'NX', ARGV[4], op) == 0 then return 0 end
  local placed
  if what == 'c' then
    placed = call('ZREM', KEYS[1], id)
  else
    placed = call('ZADD', KEYS[1], 'XX', 'CH', at, id)
  end
  if placed == 0 then
    call('ZREM', ops, op)
    return 0
  end
  if what == 'c' then
    call('DEL', key)
    if door ~= '' then call('ZREM', P .. 'list:' .. door, id) end
    return 1
  end
  call('HSET', key, 'd', at)
end
if door ~= '' then call('ZADD', P .. 'list:' .. door, at, id) end
if ARGV[7] == '1' and call('ZRANK', KEYS[1], id) == 0 then call('PUBLISH', P .. 'nudge', at) end
return 1
