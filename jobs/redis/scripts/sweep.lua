-- Looks over one stretch of the key space for notices that are in no place,
-- or that wait for a thread nobody holds, and makes them due.
--
-- KEYS  1 due set
-- ARGV  1 cursor, '0' at first
-- Returns {next cursor, '0' at the end; notices seen; repaired}
local scan = call('SCAN', ARGV[1], 'MATCH', string.gsub(note('*'), '[%[%]?\\]', '\\%0'), 'COUNT', 1000)
local seen, repaired = 0, 0
for _, key in ipairs(scan[2]) do
  local id = string.sub(key, #note('') + 1)
  local h = call('HMGET', key, 't', 'd')
  local waits = h[1] and call('ZSCORE', P .. 'wait:' .. h[1], id)
  local holder = h[1] and call('HGET', BUSY, h[1])
  if holder and not (call('ZSCORE', LEASE, holder) or call('ZSCORE', DUE, holder)) then
    free(h[1], holder)
    waits = call('ZSCORE', P .. 'wait:' .. h[1], id)
  elseif waits and not holder then
    call('ZREM', P .. 'wait:' .. h[1], id)
    waits = false
  end
  if not (waits or call('ZSCORE', DUE, id) or call('ZSCORE', LEASE, id) or call('ZSCORE', FAILED, id)) then
    wait_due(id, h[2])
    repaired = repaired + 1
  end
  seen = seen + 1
end
return {scan[1], seen, repaired}
