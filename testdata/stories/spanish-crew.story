# A Spanish crew's whole outing, from the ledge to the end of it; their one ashore reads English.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram chidi; ashore mo
speaks ana es
speaks bram es-AR
speaks chidi es
[Fri 19:00] bot joins
crew: Soy Ledgehand | una ubicación o el nombre del lugar
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 open 200-330 foot 6 slope wall gate 1.5 signal no number 911
crew: Anvil anotada: borde 4.2 m | mira al O | Arena Cove
[Fri 19:02] bram> /help
crew: Lo que entiendo | /out – bajo a las rocas
[Fri 19:03] ana starts
ana: Soy Ledgehand
[Fri 19:04] ana private> /me phone +00 555 0142
ana: teléfono +00 555 0142
[Fri 19:05] ana private> /contact
ana: Reenvía esto
[Fri 19:06] mo follows
mo: Ana asks you to hold their plans
[Fri 19:07] mo private taps Yes, I hold Ana's plans
crew: Mo tiene desde ahora los planes de Ana
[Fri 19:30] ana> /trip Anvil sáb 06:00 hasta las 09:00 plan b home
crew: sáb 14 mar, Anvil 06:00–09:00 | Aún falta | botiquín
[Fri 19:31] bram taps Voy
crew: Van: Ana, Bram
[Fri 19:32] bram> /conditions Anvil sáb 06:00 hasta las 09:00
crew: Anvil, sáb 14 mar 06:00–09:00 | Marea
[Sat 05:50] ana> /watch Anvil 20
crew: Observando Anvil, 05:50–06:10 (20 min)
[Sat 05:51] ana taps Una ola me habría alcanzado
crew: Contada: 1 ola
[Sat 06:10] wait
crew: 20 minutos: 1 ola te habría alcanzado | Las olas llegan a ese sitio
[Sat 06:12] ana> /out Anvil con Bram vuelvo a las 9 de la mañana
crew: En las rocas: Ana y Bram, Anvil. Fuera a más tardar: 09:00 | a las 09:00 te pregunto, a las 09:20 aviso al grupo, a las 09:40 aviso a Mo
mo: You hold the plan of Ana and Bram: Anvil, off the rocks by 09:00
[Sat 06:13] ana taps Chaleco puesto
crew: Chaleco salvavidas puesto: sí
[Sat 08:30] bram> /more hasta las 10 de la mañana la marea va tarde
crew: Bram sigue en Anvil. Fuera a más tardar: 10:00 | Motivo: la marea va tarde
mo: Bram stays on Anvil: off the rocks by 10:00
[Sat 10:00] wait
crew: ¿ya fuera de Anvil? La hora era 10:00
[Sat 10:20] wait
crew: Ana y Bram no han dado señales. Hora de dejar Anvil: 10:00; son las 10:20 | llama ya: 911
[Sat 10:21] chidi taps Intento contactar
crew: Chidi intenta contactar con Ana y Bram
[Sat 10:24] ana> /off todos
crew: Ana y Bram: fuera de las rocas, 10:24, según Ana. Fin de la alerta
mo: Ana and Bram: off Anvil, 10:24
[Sat 11:00] ana taps En casa
crew: Ana está en casa
