# The one ashore has no Telegram: asked by mail, says yes with a code, gets the plan, the alert with the sheet, and the stand-down.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram chidi
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 signal no number 911
[Fri 19:02] ana starts
[Fri 19:02] bram starts
[Fri 19:03] ana private> /me phone +00 555 0142
[Fri 19:03] bram> /in
# An address is nobody's business in a group.
[Fri 19:04] ana> /contact mail mo@example.org Mo
crew: Not in a group: type that to me in private | I kept nothing
mail mo: nothing
[Fri 19:05] ana private> /contact mail mo Mo
ana: no e-mail address I can write to, so nothing is kept
[Fri 19:05] ana private> /contact mail mo@example.org
ana: Whose address is that?
[Fri 19:06] ana private> /contact mail mo@example.org Mo
ana: Inviting Mo by e-mail | /contact code XXXXXXXX | after 7 days the address is deleted
mail mo: Ana asks you to hold their plans | You ring, you decide, you call. I call nobody | Code: | Tell Ana this code if you agree. If not, do nothing, and your address is deleted after 7 days | To stop, tell Ana, or answer this mail
crew: nothing
# Until the code comes Mo holds nothing.
[Fri 19:07] ana private> /contact
ana: Forward this | No Telegram there? /contact mail
[Fri 19:08] ana private> /contact code AAAAAAAA
ana: That is no code I gave out. 4 more tries
[Fri 19:09] ana codes
ana: Mo holds your plans from now on, by e-mail | never that it is read
crew: Mo holds Ana's plans from now on
[Fri 19:10] ana codes
ana: No invitation by e-mail waits for a code
[Fri 19:11] ana private> /contact mail MO@example.org Mo
ana: Mo holds your plans by that address already
[Fri 19:12] ana private> /contact
ana: alarmed in this order | 1. Mo, by e-mail
[Sat 07:00] ana> /out Anvil back 9am
crew: Out: Ana, alone, Anvil. Off the rocks by 09:00 | Mail to Mo: the mail server took it; nobody can tell whether it is read | Only mail ashore
mail mo: Plan of Ana: Anvil, off the rocks by 09:00 PDT | You hold the plan of Ana | I mail you at 09:30 | HAND-OVER SHEET | 38.95460, -123.74060 | To stop, tell Ana
[Sat 08:30] ana> /more 30
mail mo: Ana stays on Anvil: off the rocks by 09:30 PDT | (was 09:00)
[Sat 09:45] wait
crew: Ana has not checked in
mail mo: nothing
[Sat 10:00] wait
mail mo: Ana has not checked in: due off Anvil 09:30 PDT | Ring Ana: +00 555 0142 | Call 911 now | I cannot hear you | Mates, also told: their group (Bram) | HAND-OVER SHEET | 38°57.276' N 123°44.436' W
# Mo cannot take it on, so it goes on; a mate can, and Mo hears of it.
[Sat 10:10] wait
mail mo: Still: Ana has not checked in | HAND-OVER SHEET
[Sat 10:11] bram taps I'm trying to reach them
mail mo: Bram has taken on the alert for Ana | Bram is trying to reach Ana
[Sat 10:20] wait
mail mo: nothing
[Sat 10:21] ana private> /off
mail mo: Stand down: Ana off the rocks, 10:21 PDT | If you called anybody, tell them now
crew: Stand down
[Sat 14:00] wait
mail mo: nothing
