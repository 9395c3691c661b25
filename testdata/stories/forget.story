# What is kept, all of it shown, all of it deleted; and not while somebody's life hangs on it.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram; ashore mo
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 number 911
[Fri 19:02] bram> /in
[Fri 19:03] ana starts
[Fri 19:04] ana private> /me phone +00 555 0142
[Fri 19:05] ana private> /contact
[Fri 19:06] mo follows
[Fri 19:06] mo private taps Yes, I hold Ana's plans
[Fri 19:10] bram> /privacy
crew: Three days after an outing ends, its exact place, phones, car | /export shows all I hold about you, /forget deletes it
[Fri 19:11] bram> /forget
crew: In private, please
[Fri 19:12] bram> /export
crew: In private, please
[Sat 07:00] ana> /out Anvil back 9am
[Sat 07:10] ana private> /forget
ana: Not now: you are in the party of an open outing on Anvil
[Sat 07:11] mo private> /forget
mo: Not now: you hold the plan of Ana, out on Anvil. /letgo first
[Sat 08:30] ana> /off
[Sat 09:00] mo private> /export
mo: All I hold about Mo | You hold the plans of Ana. | Anvil: Ana, off by 09:00. You: ashore, with the plan.
[Sat 09:01] ana private> /export
ana: you are Ana; phone +00 555 0142 | ledge Anvil at 38.95460, -123.74060 | Mo holds your plans since
[Sat 09:01] ana private> /export
ana: Once a minute at most
# Mo goes first: Ana, and her crew, hear at once that nobody holds her plans.
[Sat 09:10] mo private> /forget
mo: Delete what I hold about you? | plans you hold (they are told at once) | The button works for 10 minutes
[Sat 09:21] mo private taps Delete it all
toast: That is over
crew: nothing
[Sat 09:22] mo private> /forget
[Sat 09:23] mo private taps Delete it all
mo: Deleted. I hold nothing of you any more
crew: Mo gave your plan back
# The same button again finds nothing.
[Sat 09:24] mo private taps Delete it all
toast: That is over
[Sat 09:25] mo private> /export
mo: All I hold about Mo
# Nobody holds the plan of the next outing, and it is said.
[Sat 10:00] ana> /out Anvil back noon
crew: Nobody ashore holds this plan
[Sat 10:05] ana> /off
[Sat 10:10] ana private> /forget
[Sat 10:11] ana private taps Delete it all
ana: Deleted.
[Sat 10:12] bram> /who
crew: Nobody is out, as far as I was told. Off the rocks today: somebody (Anvil, 10:05).
# Whoever writes again is met again.
[Sat 10:20] ana> /out Anvil back noon
crew: Out: Ana, alone, Anvil | Nobody ashore holds this plan
[Sat 10:30] ana private> /off
ana: Ana: off Anvil, 10:30
