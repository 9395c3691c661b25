# Capturas como se escriben en España, por quien lee español.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram
speaks ana es-ES
speaks bram es-ES
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270
[Fri 19:01] ana> /settings area es-ga
[Fri 19:01] ana> /settings language es
[Fri 19:01] bram> /who
[Fri 19:02] ana> /catch lubina 44 y dos sargos
crew: Anotado: Ana, 1 European bass (Dicentrarchus labrax) 44 cm | Anotado: Ana, 2 white seabream (Diplodus sargus)
[Fri 19:03] ana> /catch 2 sargos 25 y 28 devueltos
crew: devueltos 2
[Fri 19:04] ana answers> no, 29 no 28
crew: 25 cm y 29 cm, devueltos 2
[Fri 19:05] bram> /catch bolo
crew: Anotado: Bram, ningún pez. | ¿Cuánto tiempo pescaste
[Fri 19:06] bram answers> 2 cañas 3 horas
crew: Anotado: Bram, ningún pez; 2 cañas 3 h.
[Fri 19:07] bram> /catch perdí una lubina
crew: Un pez perdido no es captura
[Fri 19:08] bram> /catch besugo 30 guardado
crew: ¿Qué pez es aquí «besugo»
[Fri 19:08] bram taps axillary seabream
crew: Anotado: Bram, 1 axillary seabream
[Fri 19:09] bram answers> borra eso
crew: Deshecho: Bram, 1 axillary seabream
