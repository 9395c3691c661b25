# "Ya estamos fuera", typed without a slash, is off by whoever types it; the others are named, with a button for all.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram chidi; ashore mo
speaks ana es
speaks bram es
speaks chidi es
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 open 200-330 foot 6 slope wall gate 1.5 signal no number 911
crew: Anvil anotada
[Sat 06:59] bram> /help out
crew: /out – bajo a las rocas
[Sat 07:00] ana> /out Anvil vuelvo a las 9:30am con Bram
crew: En las rocas: Ana y Bram, Anvil. Fuera a más tardar: 09:30
# Talk among mates is not for the bot; neither is what only looks like it.
[Sat 08:00] ana> ya estamos fuera
crew: nothing
[Sat 08:01] ana answers> aún no estoy fuera
crew: nothing
[Sat 08:02] ana answers> fuera a las 15
crew: nothing
[Sat 08:30] ana answers> ¡Ya estamos fuera!
crew: Ana está fuera de las rocas. Siguen allí: Bram, hora 09:30
[Sat 08:31] ana answers> Ya estoy fuera.
crew: No te tengo en ninguna repisa
[Sat 08:32] bram answers> estoy fuera
crew: Ana y Bram: fuera de Anvil, 08:32
[Sat 10:30] wait
crew: nothing
# In private too.
[Sat 12:00] bram starts
bram: Soy Ledgehand
[Sat 12:01] bram> /out Anvil vuelvo en 3 horas
crew: En las rocas: Bram, sin compañía, Anvil. Fuera a más tardar: 15:01
[Sat 14:00] bram private> ya estoy fuera de las rocas
bram: Bram: fuera de Anvil, 14:00
crew: Bram: fuera de Anvil, 14:00. Cerrado
