# Catch lines in the crew's own words: corrections, blanks with effort, whose fish, a name asked once.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram chidi
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270
[Fri 19:01] ana> /settings area us-ca
[Fri 19:01] bram> /who
[Fri 19:01] chidi> /who
# The scientific name once in a crew, then no more.
[Fri 19:02] ana> /catch lingcod 62 kept
crew: Noted: Ana, 1 lingcod (Ophiodon elongatus) 62 cm, kept 1
[Fri 19:02] ana> /catch lingcod 58 released
crew: Noted: Ana, 1 lingcod 58 cm, let go 1
# Put right: with the command, as a reply to the echo, in one word.
[Fri 19:03] ana> /catch no, 59
crew: Noted: Ana, 1 lingcod 59 cm, let go 1
[Fri 19:03] ana answers> no, 60 not 59
crew: Noted: Ana, 1 lingcod 60 cm, let go 1
[Fri 19:04] ana answers> make that 2
crew: Noted: Ana, 2 lingcod 60 cm, let go 2
[Fri 19:04] ana answers> that was a cabezon
crew: 2 cabezon (Scorpaenichthys marmoratus) 60 cm, let go 2
[Fri 19:04] ana> /catch correction 61 not 45
crew: Your last entry is 2 cabezon 60 cm, let go 2 | so it stays
[Fri 19:05] ana answers> scrap that
crew: Taken back: Ana, 2 cabezon
# Somebody else's catch is not touched by it, and talk among mates is none of our business.
[Fri 19:06] bram> no, 29
crew: nothing
[Fri 19:06] bram answers> scrap that
crew: nothing
[Fri 19:06] ana> scrap that
crew: nothing
# Whose fish.
[Fri 19:07] ana> /catch bram 2 cabezon 45 47 kept, me 1 lingcod 70 let go
crew: Noted: Bram, 2 cabezon 45 cm and 47 cm, kept 2 | Noted: Ana, 1 lingcod 70 cm, let go 1
[Fri 19:07] ana> /catch me and chidi 3 opaleye each
crew: Noted: Ana, 3 opaleye | Noted: Chidi, 3 opaleye
[Fri 19:08] ana> /catch Tarn: 1 opaleye 33 kept
crew: Noted: Tarn, 1 opaleye 33 cm, kept 1
[Fri 19:08] ana> /catch Oda 1 opaleye 33
crew: Whose fish are they (“Oda”)
[Fri 19:08] ana> /catch 6 opaleye between us
crew: Whose fish
# Lost fish are no catch.
[Fri 19:09] bram> /catch lost 2 cabezon, landed 1 at 52
crew: Noted: Bram, 1 cabezon 52 cm
[Fri 19:09] bram> /catch busted off by something big in the wash
crew: Lost fish are no catch
# A blank counts with its effort; asked for once where it was not told.
[Fri 19:10] chidi> /catch blank, 2 rods 3 hours
crew: Noted: Chidi, no fish; 2 rods 3 h.
[Fri 19:11] bram> /catch skunked
crew: Noted: Bram, no fish. | How long did you fish
[Fri 19:12] bram answers> 2 rods 90 min
crew: Noted: Bram, no fish; 2 rods 1.5 h.
[Fri 19:13] chidi> /catch 2 lingcod 61 64 kept 1, 1 rod 4 h
crew: 61 cm and 64 cm, kept 1, let go 1; 1 rod 4 h
# A name that means several fish is asked once, by button, and kept.
[Fri 19:14] ana> /catch 1 greenling 36 kept
crew: Which fish is “greenling” here: kelp greenling and rock greenling | Nothing is noted yet
[Fri 19:14] bram taps rock greenling
toast: over
[Fri 19:14] ana taps kelp greenling
crew: Noted: Ana, 1 kelp greenling (Hexagrammos decagrammus) 36 cm, kept 1
[Fri 19:15] bram> /catch greenling 34 kept
crew: Noted: Bram, 1 kelp greenling 34 cm, kept 1
[Fri 19:15] bram> /fish
crew: greenling: kelp greenling
[Fri 19:16] bram> /fish forget greenling
crew: is forgotten
[Fri 19:16] bram> /catch greenling 34 kept
crew: Which fish is “greenling”
[Fri 19:16] bram answers> rock greenling
crew: Noted: Bram, 1 rock greenling (Hexagrammos lagocephalus) 34 cm, kept 1
[Fri 19:17] bram> /fish greenling = kelp greenling
crew: From now on “greenling” is kelp greenling (Hexagrammos decagrammus)
[Fri 19:17] bram> /fish mermaid
crew: is no fish that I know
# Nonsense, and what no fish can be.
[Fri 19:18] ana> /catch caught a mermaid, 170, kept
crew: I can't read | nothing is noted | /catch 2 greenling
[Fri 19:18] ana> /catch lingcod 450cm
crew: nothing is noted
[Fri 19:18] ana> /catch cabezon 30 not kept
crew: nothing is noted
[Fri 19:19] ana> /catch opaleye 30
crew: a length, or how many fish
# Weight: only where it was said from where to where, and by letter.
[Fri 19:20] ana> /catch lingcod 62 FL kept
crew: Noted: Ana, 1 lingcod 62 cm fork length, kept 1 | About 2.2 kg by its length (A, see /weight)
[Fri 19:20] ana> /catch lingcod 62 TL 2.4kg kept
crew: 62 cm total length, 2.4 kg, kept 1
[Fri 19:21] ana> /weight kelp greenling 31
crew: kelp greenling of 31 cm, if that is total length: about 380 g (C) | Never for a legal limit
[Fri 19:21] ana> /weight lingcod 62
crew: no conversion is known
[Fri 19:21] ana> /weight cabezon 50
crew: The sources do not agree
[Fri 19:21] ana> /weight
crew: Write a fish and its length
# The caption of a photo is a line like any other.
[Fri 19:22] bram pictures> /catch cabezon 51 kept
crew: Noted: Bram, 1 cabezon 51 cm, kept 1
[Fri 19:22] bram pictures-answers> no, 52
crew: Noted: Bram, 1 cabezon 52 cm, kept 1
[Fri 19:22] bram pictures> what a fish
crew: nothing
# In private any line puts the last one right, for a quarter of an hour.
[Fri 19:24] chidi starts
[Fri 19:25] chidi private> /catch 1 opaleye 33 kept
chidi: Noted: Chidi, 1 opaleye 33 cm, kept 1
[Fri 19:26] chidi private> no, 31
chidi: Noted: Chidi, 1 opaleye 31 cm, kept 1
[Fri 19:50] chidi private> no, 29
chidi: I find no place
[Fri 19:51] chidi private> /undo
chidi: Taken back: Chidi, 1 opaleye
