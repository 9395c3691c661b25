# Lo mismo en español: votar, cambiar, confirmar, anular.
start 2026-03-13 19:00 Europe/Madrid
people ana bram
speaks ana es-ES
speaks bram es
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 43.3900 -8.4100 lip 5 faces 315 foot 6 slope wall number 112
[Fri 19:02] ana> /trip vote Anvil sábado 08:00 a 11:00 | domingo 09:00 a 12:00 plan b casa
crew: ¿Cuál? | 1. sáb 14 mar, Anvil 08:00–11:00 · nadie todavía | Plan B casa
[Fri 19:03] bram taps 2. dom 15 mar 09:00 Anvil
[Fri 19:04] ana taps Elegir uno…
[Fri 19:04] ana taps 2. dom 15 mar 09:00 Anvil
crew: Elegido: dom 15 mar, Anvil 09:00–12:00
crew: dom 15 mar, Anvil 09:00–12:00 · plan B casa | Aún falta | por confirmar: Bram
[Fri 19:05] bram taps Voy
crew: nadie lleva
[Fri 19:06] ana> /trip cambiar 10:00 a 13:00
crew: Ana ha cambiado el plan: dom 15 mar, Anvil 10:00–13:00 | Bram: ¿sigue valiendo?
crew: sin confirmar desde el cambio: Bram
[Fri 19:07] bram> /trip nota llevo café
crew: Bram (hace un momento): «llevo café»
[Fri 19:08] bram taps Anular
crew: dom 15 mar, Anvil: anulada
