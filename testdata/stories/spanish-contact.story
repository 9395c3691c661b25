# The one ashore reads Spanish, the crew English: the whole ladder goes to her in Spanish, the group reads English.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram chidi; ashore mo
speaks mo es-MX
[Fri 19:00] bot joins
crew: I'm Ledgehand
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 open 200-330 foot 6 slope wall gate 1.5 signal no number 911
crew: Anvil noted
[Fri 19:02] ana starts
ana: I'm Ledgehand
[Fri 19:03] ana private> /me phone +00 555 0142
[Fri 19:04] ana private> /contact
ana: Forward this
[Fri 19:05] mo follows
mo: Ana te pide que tengas sus planes | yo no llamo a nadie
[Fri 19:06] mo private taps Sí, tendré los planes de Ana
mo: Desde ahora tienes los planes de Ana
crew: Mo holds Ana's plans from now on
[Sat 07:00] ana> /out Anvil back 9am
crew: Out: Ana, alone, Anvil. Off the rocks by 09:00
mo: Tienes el plan de Ana: Anvil, fuera de las rocas a más tardar: 09:00 | Ante cualquier señal de peligro, llama ya: 911
[Sat 08:00] ana> /more 30
crew: Ana stays on Anvil: off the rocks by 09:30
mo: Ana sigue en Anvil. Fuera a más tardar: 09:30 (antes 09:00)
[Sat 09:30] wait
ana: are you off Anvil? You said by 09:30
[Sat 09:45] wait
crew: Ana has not checked in
mo: nothing
[Sat 10:00] wait
mo: Ana no ha dado señales. Hora de dejar Anvil: 09:30; son las 10:00 | No se ha llamado a nadie. Solo soy un programa; decides tú | Llama a Ana: +00 555 0142 | Llama ya: 911
mo: FICHA PARA EL RESCATE, hecha sáb 14 mar 10:00 | 38.95460, -123.74060 | Lugar: Anvil
# Each who was alarmed reads the acknowledgement in their own language.
[Sat 10:01] mo private taps Intento contactar
mo: Mo intenta contactar con Ana
crew: Mo is trying to reach Ana
[Sat 10:02] mo private> /plan
mo: FICHA PARA EL RESCATE | Mo empezó a intentar contactar (10:01)
[Sat 10:16] wait
mo: (aún) | Sin noticias desde que Mo se encargó (10:01)
crew: (still) | Nothing heard since Mo took it on
[Sat 10:17] ana private> /off
mo: Ana: fuera de las rocas, 10:17, por mensaje propio. Fin de la alerta | Si llamaste a alguien, díselo ya
crew: Ana: off the rocks, 10:17, by their own message. Stand down
ana: off Anvil, 10:17
# Giving the plan back is answered in Spanish and told in English.
[Sat 18:00] ana> /out Anvil back 7pm
mo: Tienes el plan de Ana
[Sat 18:01] mo private taps Hoy no puedo
mo: Ya no tienes ningún plan; lo saben
crew: Mo gave your plan back | Nobody ashore holds this plan
[Sat 18:02] ana> /off
crew: off Anvil
# Her Telegram speaks English from now on: so does the next plan.
speaks mo en-GB
[Sat 19:00] mo private> /help
mo: What I understand
[Sat 19:01] ana> /out Anvil back 8pm
mo: You hold the plan of Ana
[Sat 19:02] ana> /more 30
mo: Ana stays on Anvil
# And back, while Ana is out: what comes next is in Spanish.
speaks mo es
[Sat 19:03] mo private> /help
mo: Lo que entiendo
[Sat 19:04] ana> /more 30
mo: Ana sigue en Anvil
[Sat 19:05] ana> /off
mo: Ana: fuera de Anvil
