# Two ashore, one by chat and one by mail: the order is the angler's, it can be changed while out, and each can be taken off.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram; ashore mo gil
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 number 911
[Fri 19:02] ana starts
[Fri 19:03] ana private> /contact first Mo
ana: Nobody called “Mo” holds your plans
[Fri 19:03] ana private> /contact mail ada@example.org Ada
[Fri 19:04] ana codes
[Fri 19:05] ana private> /contact
[Fri 19:06] mo follows
[Fri 19:06] mo private taps Yes, I hold Ana's plans
[Fri 19:07] ana private> /contact
ana: 1. Ada, by e-mail | 2. Mo, here | /contact first NAME
[Fri 19:08] ana private> /contact first Mo
ana: Mo is alarmed first from now on | 1. Mo, here | 2. Ada, by e-mail
# Nothing is told in the group but what is done.
[Fri 19:09] ana> /contact first 2
crew: Ada is alarmed first from now on
ana: 1. Ada, by e-mail
[Fri 19:10] ana private> /contact first mo
[Sat 07:00] ana> /out Anvil back 9am
crew: at 09:30 I tell Mo | Mo has the plan: it got through | Mail to Ada: the mail server took it
mail ada: You hold the plan of Ana
[Sat 09:30] wait
mo: Ana has not checked in
mail ada: nothing
# Mo does not answer: the next one is told at the usual repeat.
[Sat 09:40] wait
mo: (still)
mail ada: Ana has not checked in | Mates, also told: their group and Mo
[Sat 09:41] ana> /more until 11am
mo: Ana stays on Anvil
mail ada: Ana stays on Anvil
# The order is changed out there, for the alarm to come.
[Sat 09:42] ana private> /contact first Ada
ana: Ada is alarmed first
[Sat 11:30] wait
mail ada: Ana has not checked in
mo: nothing
# Taken off in the midst of an alarm: told so, the next one hears it at once, and stood down all the same.
[Sat 11:32] ana private> /contact remove Ada
ana: Ada holds your plans no more, and is told so
mail ada: You hold the plans of Ana no more | Ana took you off
crew: Ada was taken off and holds this plan no more | The plan is with Mo
mo: has not checked in
[Sat 11:35] ana private> /off
mo: Stand down
mail ada: Stand down: Ana off the rocks
# A chat's contact can be taken off as well, and hears of it.
[Sat 11:36] ana private> /contact remove 1
ana: Mo holds your plans no more
mo: Ana took you off: you hold their plans no more
[Sat 11:37] ana private> /contact remove Mo
ana: Nobody called “Mo” holds your plans
[Sat 11:40] ana> /out Anvil back 1pm
crew: Nobody ashore holds this plan | /plan text to send it yourself
mo: nothing
mail ada: nothing
[Sat 11:41] ana> /plan text
crew: Sent to you in private
ana: Tap it to copy | PLAN, written Sat 14 Mar 11:41 PDT | Off the rocks by: Sat 14 Mar 13:00 PDT | No word by Sat 14 Mar 13:30 PDT? | Call 911 | 38.95460, -123.74060
[Sat 11:42] bram> /plan text
crew: You are in no open outing and hold no plan
