-- Leases notices to a runner: those whose lease has expired first, then
-- those due, one of each thread at a time.
--
-- KEYS  1 due set
-- ARGV  1 now, 2 runner, 3 claim, 4 at most so many, 5 end of the lease,
--       6 '1' to note that the server was heard
-- Returns {server's seconds, its microseconds, next due time or '', next
--         end of a lease or '', token, id, fields, id, fields...}
--         A repeated claim returns what is left of its batch.
local now, runner, claim, max, till = tonumber(ARGV[1]), ARGV[2], ARGV[3], tonumber(ARGV[4]), ARGV[5]
local batch, leased, gone = {}, {}, {}
local token

local function first(set)
  local f = call('ZRANGE', set, 0, 0, 'WITHSCORES')
  return f[2] and tonumber(f[2])
end

local function answer()
  local t = call('TIME')
  local due, ending = first(DUE), first(LEASE)
  local a = {t[1], t[2], due and int(due) or '', ending and int(ending) or '', token or 0}
  for i = 1, #batch do a[i + 5] = batch[i] end
  return a
end

if ARGV[6] == '1' then call('SET', P .. 'heard', ARGV[1]) end
local last = call('HGET', P .. 'claims', runner)
if last then
  local c, f, l = string.match(last, '^(%S+) (%S+) (%S+)$')
  if c == claim then
    token = tonumber(f)
    for _, id in ipairs(call('ZRANGEBYSCORE', LEASE, l, l)) do
      local h = call('HGETALL', note(id))
      for i = 1, #h, 2 do
        if h[i] == 'f' and h[i + 1] == f then batch[#batch + 1] = id; batch[#batch + 1] = h end
      end
    end
    return answer()
  end
end

-- Takes id, unless its notice is gone or its thread is held by another.
-- Returns whether it is taken.
local function take(id)
  local h, f = call('HGETALL', note(id)), {}
  if #h == 0 then return false end
  for i = 1, #h, 2 do f[h[i]] = h[i + 1] end
  if f.t then
    local holder = call('HGET', BUSY, f.t)
    if holder and holder ~= id then
      call('ZADD', P .. 'wait:' .. f.t, f.d, id)
      return false
    end
    if not holder then call('HSET', BUSY, f.t, id) end
  end
  token = token or call('INCR', P .. 'token')
  local n = tonumber(f.n or 0) + 1
  call('HSET', note(id), 'n', n, 'f', token)
  if f.l then call('HDEL', note(id), 'l') end
  leased[#leased + 1] = till
  leased[#leased + 1] = id
  for _, x in ipairs({'n', n, 'f', token}) do h[#h + 1] = tostring(x) end
  batch[#batch + 1] = id
  batch[#batch + 1] = h
  return true
end

local due, ending = first(DUE), first(LEASE)
if ending and ending <= now then
  for _, id in ipairs(call('ZRANGEBYSCORE', LEASE, '-inf', now, 'LIMIT', 0, max)) do
    if not take(id) then gone[#gone + 1] = id end
  end
  if #gone > 0 then call('ZREM', LEASE, unpack(gone)) end
end
local looked = 0
while due and due <= now and #batch < 2 * max and looked < 1000 do
  local ids = call('ZRANGEBYSCORE', DUE, '-inf', int(now), 'LIMIT', 0, max - #batch / 2)
  if #ids == 0 then break end
  for _, id in ipairs(ids) do take(id) end
  call('ZREM', DUE, unpack(ids))
  looked = looked + #ids
end
if #leased > 0 then
  call('ZADD', LEASE, unpack(leased))
  call('HSET', P .. 'claims', runner, claim .. ' ' .. token .. ' ' .. till)
end
return answer()
