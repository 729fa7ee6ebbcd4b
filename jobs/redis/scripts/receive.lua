-- Stores a message that came in as a notice leased to its receiver.
--
-- KEYS  1 due set
-- ARGV  1 now, 2 end of the lease, 3 seen key, 4 id of this receipt,
--       5 door or '', 6... fields of the notice
-- Returns {1, token} stored, now or before by the same receipt;
--         {0} seen before.
local now, till, seen, id, door = ARGV[1], ARGV[2], ARGV[3], ARGV[4], ARGV[5]
if call('ZADD', P .. 'seen', 'NX', now, seen) == 0 then
  local token = call('HGET', note(id), 'f')
  if token then return {1, tonumber(token)} end
  return {0}
end
local token = call('INCR', P .. 'token')
call('HSET', note(id), 'd', now, 'n', 1, 'f', token, unpack(ARGV, 6))
call('ZADD', LEASE, till, id)
if door ~= '' then call('ZADD', P .. 'list:' .. door, now, id) end
return {1, token}
