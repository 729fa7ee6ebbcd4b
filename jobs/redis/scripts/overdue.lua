-- Finds what has been due longest, by the time when it was to be sent first:
-- each try moves the time of the next.
--
-- KEYS  1 due set
-- ARGV  1 now, 2 up to when a next try may be, 3 kinds of answers, each with
--       a space around it
-- Returns {first due time of all, the same of answers}, '' for none.
local now, all, answers = tonumber(ARGV[1]), nil, nil

local function see(ids)
  for _, id in ipairs(ids) do
    local h = call('HMGET', note(id), 'd', 'k')
    local d = h[1] and tonumber(h[1])
    if d and d <= now then
      all = math.min(all or d, d)
      if string.find(ARGV[3], ' ' .. h[2] .. ' ', 1, true) then answers = math.min(answers or d, d) end
    end
  end
end

see(call('ZRANGEBYSCORE', DUE, '-inf', ARGV[2], 'LIMIT', 0, 500))
see(call('ZRANGE', LEASE, 0, 499))
local threads = call('HKEYS', BUSY)
for i = 1, math.min(#threads, 500) do see(call('ZRANGE', P .. 'wait:' .. threads[i], 0, 9)) end
return {all and int(all) or '', answers and int(answers) or ''}
