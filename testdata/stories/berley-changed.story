# What is said the evening before is worked out then: of a trip that is off nothing is, of berley that nobody brings the group hears, where it is not allowed nobody soaks any.
start 2026-03-12 12:00 America/Los_Angeles
people ana bram chidi
[Thu 12:00] bot joins
[Thu 12:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 6.1 faces 270 foot 12 slope wall number 911
[Thu 12:01] ana starts
[Thu 12:02] ana> /berley recipe 4 kg bread, sand, for 2 anglers 4 hours
[Thu 12:03] ana> /trip Anvil fri 8am til 12pm plan b home
[Thu 12:04] ana> /bring berley
[Thu 12:05] ana> /calloff
[Thu 19:10] wait
ana: nothing
crew: nothing
[Thu 19:11] ana> /trip Anvil sat 8am til 12pm plan b home
[Fri 19:10] wait
crew: Berley for Anvil, Sat 14 Mar 08:00: nobody brings it. | 1 angler, 4 h: 2 kg bread, sand. | Soak to a mash: bread
ana: nothing
[Fri 19:11] bram> /in
[Fri 19:12] bram> /calloff
# A plan made later than that evening is told of half an hour on.
[Fri 20:00] ana> /trip Anvil sat 9am til 1pm plan b home
[Fri 20:01] ana> /bring berley
[Fri 20:02] ana> /bring frozen squid
[Fri 20:03] bram> /in
[Fri 20:29] wait
ana: nothing
[Fri 20:31] wait
ana: you bring berley and frozen squid | 2 anglers, 4 h: 4 kg bread, sand | Soak to a mash: bread. Thaw: frozen squid. | Treat that as a no
[Fri 20:32] ana> /calloff
# Not allowed: no amounts, and no call for somebody to bring it.
[Fri 20:33] ana> /trip Anvil sun 9am til 1pm plan b home
[Fri 20:34] ana> /berley
[Fri 20:35] ana taps Not allowed there
crew: ground-bait is not allowed at Anvil, says Ana
[Fri 20:36] ana> /berley
crew: not allowed, your card says. Leave the berley at home
[Sat 19:10] wait
crew: nothing
ana: nothing
[Sun 06:00] ana> /bring berley
[Sun 07:00] ana> /calloff
# In private, in Spanish, with what is bought there.
[Sun 07:01] ana private> /settings
[Sun 07:02] ana private taps Español
[Sun 07:03] ana> /trip Anvil mon 9am til 1pm plan b home
[Sun 07:04] ana> /bring bait
[Sun 19:05] wait
ana: Para Anvil, lun 16 mar 09:00, llevas cebo. | vuelven a casa
