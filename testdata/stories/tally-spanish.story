# Lo pescado con el tiempo, para un grupo que lee español.
start 2026-03-13 05:00 America/Los_Angeles
people ana bram
speaks ana es-MX
[Fri 05:00] bot joins
[Fri 05:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 6.1 faces 270
[Fri 05:01] ana> /settings area us-ca
[Fri 06:00] ana> /out Anvil back in 4 hours
[Fri 07:10] ana> /catch 2 kelp greenling 31 44 kept 1
[Fri 09:00] ana> /off
[Fri 09:01] ana> /tally
crew: Ana, 2026: 1 salida, 2 peces | guardados 1, devueltos 1 | Los más largos, medidos: kelp greenling 44 cm
[Fri 09:02] ana> /tally grupo
crew: El grupo, 2026: 1 salida, 2 peces | No cuentan en la tasa: 1 salida sin horas de caña
[Fri 09:03] ana> /tally Anvil
crew: Anvil: 1 salida anotada. | pleamar, al alba
[Fri 09:04] ana> /tally comparar marea
crew: con marea subiendo y con marea bajando
[Fri 09:05] ana> /tally temporada desde julio
crew: La temporada empieza desde ahora en jul
[Fri 09:06] ana> /tally exportar
crew: [file catches-2026-03-13.csv] 1 salida como tabla
crew: catches-2026-03-13-dwca.zip | Darwin Core | No hay licencia elegida
[Fri 09:07] ana> /tally luna
crew: No entiendo «luna»
