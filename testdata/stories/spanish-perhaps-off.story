# "Ya salí" may be the rocks or the front door: before the time it is asked, as an answer to our question it is off.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram; ashore mo
speaks ana es
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 open 200-330 foot 6 slope wall gate 1.5 signal no number 911
crew: Anvil anotada
[Fri 19:02] ana starts
# Who is not out is not asked anything.
[Fri 19:03] ana private> ya salí
ana: No encuentro ningún lugar «ya salí»
[Sat 05:00] ana> /out Anvil vuelvo a las 09:00
crew: En las rocas: Ana, sin compañía, Anvil. Fuera a más tardar: 09:00
[Sat 05:10] ana private> ya salí
ana: ¿ya fuera de Anvil? No lo tengo claro, así que no cambio nada: fuera a más tardar 09:00
crew: nothing
[Sat 05:11] ana private> de vuelta
ana: No lo tengo claro
[Sat 09:00] wait
ana: ¿ya fuera de Anvil? La hora era 09:00
[Sat 09:02] ana private> ya salí
ana: Ana: fuera de Anvil, 09:02
crew: Ana: fuera de Anvil, 09:02
[Sat 10:00] wait
crew: nothing
