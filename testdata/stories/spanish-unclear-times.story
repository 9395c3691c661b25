# A return time in Spanish that means two things is asked, with buttons; one that means none is not guessed.
start 2026-03-14 13:00 America/Los_Angeles
people ana bram; ashore mo
speaks ana es
[Sat 13:00] bot joins
[Sat 13:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 open 200-330 foot 6 slope wall gate 1.5 signal no number 911
crew: Anvil anotada
[Sat 13:02] ana> /out Anvil vuelvo a las 9 mañana
crew: No leo ninguna hora en «vuelvo a las 9 mañana». ¿A qué hora fuera de Anvil?
[Sat 13:03] ana answers> sobre las 3
crew: No leo ninguna hora en «sobre las 3»
[Sat 13:04] ana answers> vuelvo tarde
crew: No leo ninguna hora
[Sat 13:05] ana answers> con la bajamar
crew: No leo ninguna hora
[Sat 13:06] ana answers> a las 3
crew: Leo «a las 3», pero no sé qué hora es
[Sat 13:07] ana taps 15:00
crew: En las rocas: Ana, sin compañía, Anvil. Fuera a más tardar: 15:00
[Sat 13:08] ana> /more 1 hora y pico
crew: ¿Cuánto más? No entiendo «1 hora y pico»
[Sat 13:09] ana> /more hora y media
crew: Ana sigue en Anvil. Fuera a más tardar: 16:30
[Sat 13:10] ana> /off
crew: Ana: fuera de Anvil, 13:10
[Sat 13:20] ana> /out Anvil hasta las 3 de la tarde
crew: Fuera a más tardar: 15:00
[Sat 13:21] ana> /cancel
crew: al final no hay salida a Anvil
[Sat 13:30] ana> /out Anvil mañana a mediodía
crew: En las rocas: Ana, sin compañía, Anvil. Fuera a más tardar: dom 15 mar 12:00
