# A plan by the tide, in Spanish; what may mean two hours is asked with a button for each.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram
speaks ana es
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 foot 6 slope wall number 911
[Fri 19:02] ana> /trip Anvil sábado por la mañana dos horas antes y después de la pleamar
crew: sáb 14 mar, Anvil 06:02–10:02
[Fri 19:03] ana> /trip Anvil domingo de 6 a 9
crew: ¿de qué mitad del día?
[Fri 19:04] ana answers> la segunda
crew: Anvil, dom 15 mar 18:00–21:00. ¿Es ese el plan?
[Fri 19:05] ana taps Hacer el plan
crew: dom 15 mar, Anvil 18:00–21:00
[Fri 19:06] ana> /out Anvil vuelvo antes de que anochezca
crew: Fuera a más tardar: 19:4
