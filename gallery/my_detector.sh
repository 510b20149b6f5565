#!/bin/sh
# A detector of your own as a command, here of a hand that enters across the midline: it reads points.csv, writes findings.
# Score it: swimsim validate small --detector "sh gallery/my_detector.sh {in} {out}" --out my_scorecard
awk -F, '
function at(name) {                                            # a misspelt column would be the whole line, silently
  if (name in column) return $(column[name])
  print "no column " name > "/dev/stderr"; failed = 1; exit 1
}
NR == 1 { for (i = 1; i <= NF; i++) column[$i] = i; next }     # time_s, then left_wrist_x_m, left_wrist_y_m, ...
!("pelvis_y_m" in column) { exit }                             # pixels of one camera: no answer
{
  middle += at("pelvis_y_m"); frames++
  for (k = 1; k <= 2; k++) {
    side = k == 1 ? "left" : "right"
    tip = at(side "_fingertip_z_m")
    if (frames > 1 && was[side] >= 0 && tip < 0) {             # still water is z = 0: the hand enters
      line[side] += hand[side]; entries[side]++
    }
    was[side] = tip; hand[side] = at(side "_knuckles_y_m")
  }
}
END {
  if (failed) exit 1
  printf "["
  for (side in entries) {
    outward = (side == "left" ? 1 : -1)                        # y points to the left of the swimmer
    score = 0.08 - outward * (line[side] / entries[side] - middle / frames)
    printf "%s{\"fault\": \"crossover\", \"side\": \"%s\", \"present\": %s, \"score\": %.4f}",
      comma, side, (score > 0 ? "true" : "false"), score       # less than 8 cm from the midline: it crosses over
    comma = ", "
  }
  print "]"
}' "$1" > "$2"
