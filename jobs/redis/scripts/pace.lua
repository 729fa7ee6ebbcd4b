-- Asks whether a call may be made now that several limits bear on. Each limit
-- is kept as the time at which it is back at rest (the generic cell rate
-- algorithm); a call moves it on by its interval.
--
-- KEYS  1 due set
-- ARGV  1 now, 2... name, interval in ms, burst of each limit. One without an
--       interval is only waited for.
-- Returns 0 if the call may be made, and then it is counted; else the ms to
-- wait, and nothing is counted.
local now, wait, rest = tonumber(ARGV[1]), 0, {}
for i = 2, #ARGV, 3 do
  local at = math.max(now, tonumber(call('ZSCORE', P .. 'pace', ARGV[i]) or 0))
  wait = math.max(wait, at - now - ARGV[i + 1] * (ARGV[i + 2] - 1))
  rest[i] = int(at + ARGV[i + 1])
end
if wait > 0 then return wait end
for i = 2, #ARGV, 3 do
  if ARGV[i + 1] ~= '0' then call('ZADD', P .. 'pace', rest[i], ARGV[i]) end
end
return 0
