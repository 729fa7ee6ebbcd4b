-- Sets names to what they stand for; "" takes a name away.
--
-- KEYS  1 due set
-- ARGV  1 name, 2 what it stands for, 3... the same of the next
for i = 1, #ARGV, 2 do
  if ARGV[i + 1] == '' then
    call('HDEL', P .. 'refs', ARGV[i])
  else
    call('HSET', P .. 'refs', ARGV[i], ARGV[i + 1])
  end
end
return 1
