# Everything that can be typed or tapped wrongly gets a friendly answer or a deliberate silence, and loses nothing.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram chidi; ashore eve
[Fri 19:00] bot joins
[Fri 19:00] ana> /conditions
crew: I know no ledge yet
[Fri 19:01] ana> /out Anvil back 9am
crew: I know no ledge yet
[Fri 19:02] ana> /ledge add Anvil
crew: Where is Anvil?
[Fri 19:02] ana> /ledge add Anvil at 138.9 -123.7
crew: I can't read
[Fri 19:03] ana> /ledge add Anvil at 38.9546 -123.7406 lip tall faces 270
crew: I can't read | lip
[Fri 19:04] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 foot 6 slope wall number 911
crew: Anvil noted
[Fri 19:04] ana> /ledge add Long Step at 38.9211 -123.7302 lip 3.0 faces 200
crew: Long Step noted
# An unknown command, and one nearly right.
[Fri 19:05] ana> /conditons Anvil
crew: Did you mean /conditions?
[Fri 19:05] ana> /frobnicate
crew: I know no /frobnicate
# A command for another bot, talk among mates, a place that is no answer to us.
[Fri 19:05] ana> anyone up for the ledge?
crew: nothing
# An unknown ledge.
[Fri 19:08] ana> /conditions The Spot
crew: I don't know a ledge called “The Spot”. Yours: Anvil and Long Step
[Fri 19:08] ana> /conditions Anvil sometime
crew: I can't read a time in “sometime”
# Half a time: asked, never guessed; the answer may be typed.
[Sat 05:00] ana> /out
crew: Which ledge? Yours: Anvil and Long Step
[Sat 05:00] ana answers> Anvil
crew: off the rocks by when? I don't guess this
[Sat 05:01] ana answers> later
crew: Off Anvil by when?
[Sat 05:02] ana answers> 9am
crew: Out: Ana, alone, Anvil. Off the rocks by 09:00
[Sat 05:03] ana> /out Anvil back 10am
crew: You are out on Anvil, off by 09:00
# An edited command does not run again.
[Sat 05:04] bram> /out Anvil back 8am
crew: Out: Bram, alone
[Sat 05:05] bram edits /out Anvil back 7am
crew: nothing
# A delay that cannot be read changes nothing.
[Sat 05:06] ana> /more whenever
crew: How much longer? I can't read “whenever”
[Sat 05:06] chidi> /more 30
crew: I have you on no ledge, so nothing is changed
# A stranger's tap, a forged tap, a tap on something that is over.
[Sat 05:07] chidi taps +30 min
toast: not one of those out
[Sat 05:08] ana forges aoff|gzz.nothere||0
toast: over
[Sat 05:08] ana forges whatever this is
toast: over
[Sat 05:09] bram> /cancel
crew: Bram: not going to Anvil after all
# An update nobody can read, and one after it.
[Sat 05:10] raw {"message":{"message_id":1,"date":"yesterday","chat":{"id":-7007,"type":"group"}}}
[Sat 05:10] chidi> /help out
crew: /out
# A catch that cannot be read, and one that would be a guess.
[Sat 05:11] ana> /catch lots
crew: Nothing is noted yet
[Sat 05:12] ana> /catch zed 2 greenling 31 28
crew: nothing is noted
# A watch too short, and too long.
[Sat 05:13] ana> /watch Anvil 5
crew: at least 15 minutes
[Sat 05:13] ana> /watch Anvil 4h
crew: 90 minutes
[Sat 05:14] ana> /more 23h
crew: 24 hours
# Names from outside stay text.
[Sat 05:15] ana> /ledge name Long Step = <b>&"
crew: <b>&" now
# A command for another bot is none of our business.
[Sat 05:16] ana> /out@some_other_bot Anvil back 9am
crew: nothing
# Somebody who is in no crew writes in private.
[Sat 05:16] eve starts
eve: I'm Ledgehand
[Sat 05:16] eve private> hello
eve: I find no place “hello”
[Sat 05:50] eve private> hello again
eve: I only understand commands here
[Sat 05:51] eve private> /off
eve: I have you on no ledge
[Sat 08:59] ana> /off
crew: Ana: off Anvil, 08:59
