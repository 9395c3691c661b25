# From being added to a first conditions answer in three more messages: the question (one panel, changed twice), the
# picture with the answer.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram
[Fri 19:00] bot joins
crew: I'm Ledgehand | Reply to this with a location or a place name
[Fri 19:01] ana places 38.9546 -123.7406
crew: Ledge 1: tide from Arena Cove | Which way does it look out to sea?
[Fri 19:02] bram taps W
toast: That question is over
[Fri 19:02] ana taps W
crew: Ledge 1 looks W. How high is its lip above MLLW
[Fri 19:02] ana taps 4.0 m
crew: what lies below the lip?
[Fri 19:02] ana taps Wall, over 5 m of water
crew: Ledge 1 noted: looks W, lip 4.0 m
crew: Ledge 1, Sat 14 Mar | INVENTED SAMPLE | Watch
[Fri 19:03] ana> /ledge name Ledge 1 = Anvil
crew: Ledge 1 is called Anvil now
[Fri 19:04] ana taps Why
crew: hour by hour
[Fri 19:05] ana> /settings
crew: Settings of this crew | Zone: America/Los_Angeles
[Fri 19:05] bram taps ✓ America/Los_Angeles
toast: Noted
[Fri 19:05] bram taps Feet
crew: Settings of this crew
[Fri 19:06] ana> /conditions Anvil sat 8am til 1pm
crew: Anvil, Sat 14 Mar 08:00–13:00 | ft
