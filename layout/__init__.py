"""Readings in, solved link geometry out.

Words (the first is the one printed; see README for the full list)

===================  ==========================================================
solid axle           one-piece axle carrying both front wheels
ride height          full weight on, wheels down; *bump* is up-travel, *droop* down
frame rail           lengthwise member of the ladder frame: side walls and flanges
station              distance along the frame from the datum hole
datum hole           a round factory hole on each rail that every station is taped from
set out              to find and mark where every pivot, seat and plate goes
radius arm           lower link, two bolts at the axle (lower bolt, upper arm), one joint at the
                     frame
upper arm            short link from the radius arm up to the axle
track bar            lateral bar from axle to frame
drag link            pitman arm to knuckle
coil seat            what a coil spring stands on or under
crossmember          carries the arm joints and the transmission, bolted between the rails
sleeve               inner tube of a bushing; *crush sleeve*: tube through a boxed rail
tab                  ear welded on to carry one side of a bolt
===================  ==========================================================

Axes (ISO 8855): x forward, y left, z up, right-handed. x = 0 is the plumb line of the
axle center with the axle jacked to full bump, y = 0 the center plane, z = 0 the floor
with the frame blocked at target ride height. Axle-local points are read with the pinion
level, from the axle center.

Signs: heave > 0 is bump; roll > 0 lifts the left wheel; pitch > 0 is pinion nose up;
steer > 0 is to the left. caster + pinion angle is one constant per axle.

Units inside: mm, N, MPa, radians. ``units`` alone knows others.
"""
