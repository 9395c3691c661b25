# Whoever leaves while out is watched to the end, by those who hold their plan too; answers to plans and the phone go.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram; ashore mo
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 6.1 faces 270 number 911
[Fri 19:01] ana starts
[Fri 19:02] mo starts
[Fri 19:02] ana private> /contact
[Fri 19:03] mo follows
[Fri 19:03] mo private taps Yes, I hold Ana's plans
[Fri 19:04] bram> /trip Anvil tomorrow 8am til 11am
[Fri 19:04] ana> /in
[Fri 19:05] ana> /bring throw line
[Fri 19:06] ana> /out Anvil back 9pm
mo: You hold the plan of Ana
[Fri 19:10] ana leaves
ana: You left The crew while you are out
crew: In: Bram · | throw line: nobody
[Fri 21:31] wait
mo: Ana has not checked in
[Fri 21:32] ana private> /off
ana: Ana: off Anvil
mo: Stand down
[Fri 21:33] ana private> /ledge Anvil
ana: I know no ledge yet
[Fri 21:34] ana private> /contact
ana: Mo
[Fri 21:35] ana private> /ledge add Cove at 38.9700 -123.7500 lip 3 faces 270 number 911
[Fri 21:36] ana private> /out Cove back 11pm
mo: You hold the plan of Ana
[Fri 21:37] ana private> /off
