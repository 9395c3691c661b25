# The plan as a calendar file: to whoever asks, there, and anew where it went when the plan is called off.
start 2026-03-13 12:00 America/Los_Angeles
people ana bram
[Fri 12:00] bot joins
[Fri 12:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 6.1 faces 270 foot 12 slope wall number 911
[Fri 12:02] ana> /trip calendar
crew: No trip is planned
[Fri 12:03] ana> /trip Anvil sat 8am til 11am plan b home
[Fri 12:04] bram starts
[Fri 12:05] bram> /in
[Fri 12:06] ana> /trip calendar
crew: [file trip-2026-03-14.ics] | Anvil, Sat 14 Mar 08:00–11:00: open the file to have it in your calendar
[Fri 12:07] bram private> /trip calendar
bram: [file trip-2026-03-14.ics] | open the file to have it in your calendar
crew: nothing
# Who brings what is no other plan: the file is not sent again for it.
[Fri 12:08] bram> /bring float
crew: without [file
bram: nothing
[Fri 12:09] bram> /calloff
crew: [file trip-2026-03-14.ics] | called off. | strike it from your calendar
bram: [file trip-2026-03-14.ics] | called off.
[Fri 12:10] ana> /trip calendar
crew: No trip is planned
# In Spanish, where it was asked for alone.
[Fri 12:11] bram private> /settings
[Fri 12:12] bram private taps Español
[Fri 12:13] ana> /trip Anvil sun 8am til 11am plan b home
[Fri 12:14] bram private> /trip calendario
bram: [file trip-2026-03-15.ics] | abre el archivo para tenerlo en tu calendario
[Fri 12:15] ana> /calloff
crew: without [file
bram: [file trip-2026-03-15.ics] | anulada
# Other hours are another plan: the file goes out anew, and so is the bait prepared on another evening.
[Fri 12:20] ana> /trip Anvil sun 8am til 11am plan b home
[Fri 12:21] bram> /in
[Fri 12:22] bram> /bring bait
[Fri 12:23] ana taps More
[Fri 12:24] ana taps Calendar file
crew: [file trip-2026-03-15.ics] | open the file to have it in your calendar
[Fri 12:25] bram> /trip change mon 8am til 11am
crew: [file trip-2026-03-16.ics] | Anvil is now Mon 16 Mar 08:00–11:00
[Sat 19:10] wait
bram: nothing
[Sun 19:10] wait
bram: Para Anvil, lun 16 mar 08:00, llevas cebo.
