# A ledge's card by and by: other names, notes with author and date, a photo, limits with who and when, what is missing.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 6.1 faces 270 number 911
[Fri 19:02] ana> /ledge add Long Step at 38.9612 -123.7431 lip 5 faces 270
[Fri 19:03] bram> /ledge alias Anvil = the anvil rock, Big Flat
crew: Anvil is also called the anvil rock and Big Flat
[Fri 19:04] bram> /ledge alias Anvil = sat
crew: can't be a name | Nothing is changed
[Fri 19:04] bram> /ledge alias Anvil = long step
crew: Another ledge is called “long step” already
[Fri 19:05] bram> /ledge note big flat land fish at the gutter, never at the point
crew: Kept with Anvil, with your name | land fish at the gutter, never at the point (Bram, 13 Mar 2026)
[Fri 19:06] ana taps Undo
toast: There is nothing of yours to take back
[Fri 19:06] ana> /ledge note Anvil slippery weed below the step
[Fri 19:07] ana> /ledge limits Anvil swell 1.8 gust 10
[Fri 19:08] ana photographs /ledge photo Anvil
crew: Photo kept with Anvil
[Fri 19:09] bram> /ledge big flat
crew: Anvil, photo by Ana, 13 Mar 2026
crew: Also called the anvil rock and Big Flat. | Your limits: swell 1.8 m | (Ana, 13 Mar 2026) | Emergency number 911, by the card | Still missing: what lies below the lip, way in, ways out and rescue ring | 1. slippery weed below the step (Ana | 2. land fish at the gutter
[Fri 19:10] ana> /ledge unnote Anvil 2
crew: That note is Bram's
[Fri 19:10] bram> /ledge unnote Anvil 2
crew: That note of Anvil is deleted
[Fri 19:11] bram> /ledge note Anvil
crew: Anvil: notes, newest first | 1. slippery weed
[Fri 19:12] bram> /out big flat back 9:30pm
crew: Out: Bram, alone, Anvil
[Fri 19:13] bram> /off
[Fri 19:14] ana> /ledge name Anvil = The Forge
[Fri 19:14] ana> /ledge the forge
crew: The Forge, photo by Ana
crew: Also called | Anvil | slippery weed
[Fri 19:15] ana> /ledge photo - The Forge
crew: has no photo now
[Fri 19:16] ana> /ledge photo The Forge
crew: Reply to this with the photo of The Forge
[Fri 19:17] ana shoots
crew: Photo kept with The Forge
[Fri 19:18] ana> /ledge alias The Forge = -
crew: has no other name now
[Fri 19:19] ana> /ledge note Longer Step x
crew: I don't know a ledge called
