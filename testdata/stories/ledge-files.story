# Ledges come out of a file of places, and go out to one member in private.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram; ashore mo
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge import
crew: Send a GPX or GeoJSON file
[Fri 19:02] ana sends places/other.txt> /ledge import
crew: neither a GPX nor a GeoJSON file
[Fri 19:03] ana sends places/handheld.gpx> /ledge import
crew: 4 places in that file | 1. Anvil: tide from Arena Cove | 3. Nowhere: | 4. Unset: position 0, 0 | 2 left out
[Fri 19:04] ana answers> 1 9
crew: I read no numbers of 1 to 4
[Fri 19:05] bram taps 1
toast: That question is over
[Fri 19:06] ana taps 1
crew: 1. ✓ Anvil | 1 kept. It lacks lip and facing
[Fri 19:07] ana answers> 1-2
crew: 2. ✓ Long Step
[Fri 19:08] ana taps Done
crew: What you chose is kept
[Fri 19:09] ana> /ledge Anvil
crew: lip not measured | Still missing: way it faces, lip height, what lies below the lip
[Fri 19:10] ana> /ledge add Anvil lip 6.1
crew: Which way does it look out to sea?
[Fri 19:11] ana answers> uphill
crew: I read no direction in “uphill”
[Fri 19:12] bot stops
[Fri 19:13] bot goes on
[Fri 19:13] ana answers> west
crew: what lies below the lip
[Fri 19:14] ana taps Wall, over 5 m of water
crew: Anvil noted: looks W, lip 6.1 m
[Fri 19:15] ana sends places/ours.geojson> /ledge import
crew: 1. Long Step: known to me as Long Step
[Fri 19:16] ana taps All
crew: not kept, I know that place as Long Step
[Fri 19:17] bram> /ledge export
crew: Press Start in a private chat with me
[Fri 19:18] bram starts
[Fri 19:19] bram> /ledge export geojson
crew: Sent to you in private: it holds the exact places
bram: [file ledges.geojson] | 2 ledges with their exact places
[Fri 19:20] bram private> /ledge export gpx Anvil
bram: [file ledges.gpx] | 1 ledge with its exact place
[Fri 19:21] mo starts
[Fri 19:21] mo private> /ledge export
mo: no ledge with an exact place
