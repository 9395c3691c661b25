# The evening before and two hours before a trip we look again, and say only what is different from what people saw, held against the plan.
start 2026-03-12 12:00 America/Los_Angeles
people ana bram
[Thu 12:00] bot joins
[Thu 12:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 9.1 faces 270 foot 12 slope wall gate 1.0 number 911
# Nothing changed: silence, twice; the panel alone is brought up to date.
[Thu 12:02] ana> /trip Anvil fri 8am til 11am plan b home
crew: not expected on this forecast
[Thu 20:10] wait
crew: without Still going?
[Fri 06:10] wait
crew: without Still going?
[Fri 06:11] ana> /calloff
# Two steps of which neither is news by itself: together they are, and are told against the plan.
[Fri 11:12] ana> /trip Anvil sat 8am til 11am plan b home
[Fri 11:13] sea higher 1.1
[Fri 20:10] wait
crew: without Still going?
[Fri 20:11] sea higher 1.15
[Sat 06:10] wait
crew: Anvil, Sat 14 Mar 08:00–11:00 | Since the plan: | swell 2.6 m → 3.0 m | Still going? Plan B is home; anyone can call it off
# It can be called off right there, without a reason, and is then left alone.
[Sat 06:11] bram taps Call it off
crew: called off. No reason needed
crew: Called off.
[Sat 06:12] sea as before
# Wind is news too; back as it was planned is news once more.
[Sat 11:00] ana> /trip Anvil sun 8am til 11am plan b home
[Sat 12:00] sea windier 3
[Sat 20:10] wait
crew: Still going? | gusts
[Sat 20:11] sea as before
[Sun 06:10] wait
crew: As planned again.
[Sun 06:11] ana> /calloff
