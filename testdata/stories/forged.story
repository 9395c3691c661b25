# Whoever knows a crew's number still changes nothing in it and reads nothing of it from a private chat.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram; ashore eve
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270
[Fri 19:02] ana> /settings
[Fri 19:03] eve starts
[Fri 19:03] eve private forges aunits|g5en.|imperial|0
toast: over
crew: nothing
[Fri 19:04] eve private forges acond|g5en.|#0.hljd0.hlji0|0
eve: nothing
toast: over
[Fri 19:05] eve private forges awhy|g5en.|#0.hljd0.hlji0|0
eve: nothing
[Fri 19:06] ana> /trip Anvil sat 8am til 11am
crew: In: Ana
