# An angler with a Spanish Telegram in an English crew: the group reads English, she reads Spanish in private, and whoever
# chooses a language keeps it.
start 2026-03-13 19:00 America/Los_Angeles
people bram ana chidi; ashore mo
speaks ana es
speaks mo -
[Fri 19:00] bot joins
crew: I'm Ledgehand
[Fri 19:01] bram> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 open 200-330 foot 6 slope wall gate 1.5 signal no number 911
crew: Anvil noted
[Fri 19:02] ana starts
ana: Soy Ledgehand
[Fri 19:03] ana> /conditions Anvil sat 6am til 9am
crew: Anvil, Sat 14 Mar 06:00–09:00
[Fri 19:04] ana> /contact
ana: Reenvía esto
crew: I sent you a link in private
# Nothing is known of Mo's language: the crew's, until Mo chooses.
[Fri 19:05] mo follows
mo: Ana asks you to hold their plans
[Fri 19:06] mo private taps Yes, I hold Ana's plans
mo: You hold Ana's plans from now on
[Sat 06:00] ana> /out Anvil back 8am
crew: Out: Ana, alone, Anvil
mo: You hold the plan of Ana
[Sat 06:01] mo private> /settings
mo: Settings of this crew
[Sat 06:02] mo private taps Español
mo: Ajustes de este grupo
toast: Anotado
# What Mo chose counts for the outing that is under way, and Telegram's word does not undo it.
speaks mo en
[Sat 06:03] mo private> /help
mo: Lo que entiendo
[Sat 06:04] ana private> /watch Anvil 15
ana: Observando Anvil, 06:04–06:19
[Sat 06:09] wait
ana: Quedan 10 min. ¿Qué altura tuvo la mayor?
[Sat 06:19] wait
ana: 15 minutos, seco
[Sat 08:00] wait
ana: ¿ya fuera de Anvil? La hora era 08:00
crew: nothing
[Sat 08:15] wait
crew: Ana has not checked in
[Sat 08:30] wait
mo: Ana no ha dado señales
mo: FICHA PARA EL RESCATE
[Sat 08:31] chidi> /reached
crew: Chidi reached Ana
mo: Chidi ha contactado con Ana
[Sat 08:40] ana private taps Ya estoy fuera
ana: Ana: fuera de Anvil, 08:40
crew: Ana: off the rocks, 08:40
mo: Fin de la alerta
# The group's own language is the group's choice.
[Sat 09:00] bram> /settings
crew: Settings of this crew
[Sat 09:01] bram taps Español
crew: Ajustes de este grupo
[Sat 09:02] bram> /off
crew: No te tengo en ninguna repisa
