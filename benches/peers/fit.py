"""The survey of `fit_scale` as one would otherwise write it: pandas to read, DuckDB to join.

    cargo bench --bench fit_scale -- 1000 10000 --write DIR
    python benches/peers/fit.py DIR/1000 DIR/10000

Applies the rules that decide on those plants (axes, seat, output and input fit, speed as it is and by
another pole count, strength) and counts the models of every position by verdict. Prints both times, their
ratio, and stops with an error where the counts differ.
"""

import os
import sys
import time

import duckdb
import pandas as pd

COLUMNS = {
    "Tag": "tag", "Motor power [kW]": "motor", "Motor speed [rpm]": "n1", "Absorbed power [kW]": "absorbed",
    "Speed tolerance [%]": "tolerance", "Ratio": "ratio", "Axes": "axes", "Mounting": "mounting",
    "Shaft height [mm]": "height", "Foot holes [mm]": "holes", "Output form": "form",
    "Output shaft [mm]": "shaft", "Input shaft [mm]": "input", "Model": "model",
    "Rated torque [Nm]": "torque", "n1 [rpm]": "rated_n1", "Efficiency [%]": "efficiency",
}

# Outcomes are numbers, so that the worst of several is their maximum.
PASS, MEND, LIMIT, UNKNOWN, FAIL = 0, 1, 2, 3, 4

# A pump, load class U, 24 h a day; the same at 10 h.
FACTOR, FACTOR_10H = 1.25, 1.00
LEAST_SHARE = 0.60
NM = 30000 / 3.141592653589793

# Every way to the wanted speed: as it is, and each other pole count with the motor's own slip.
PAIRS = f"""
with ways as (
  select fleet.*, n1 / ratio as wanted, poles,
         case when poles = 4 then n1 else 6000.0 / poles * n1 / 1500 end as n
  from fleet cross join (select unnest([2, 4, 6, 8]) as poles)
), near as (
  select w.tag, m.model, w.poles, w.wanted, w.motor, w.absorbed, m.efficiency / 100 as eff,
    w.n / m.ratio as n2,
    case when w.n <= m.rated_n1 then m.torque
         when w.n <= 1.1 * m.rated_n1 then m.torque * m.rated_n1 / w.n end as rated,
    w.axes as axes_p, m.axes as axes_m, w.mounting as mount_p, m.mounting as mount_m,
    w.height as height_p, m.height as height_m, w.holes as holes_p, m.holes as holes_m,
    w.form as form_p, m.form as form_m, w.shaft as shaft_p, m.shaft as shaft_m,
    w.input as input_p, m.input as input_m
  from ways w join models m
    on m.ratio >= w.n / (w.wanted * (1 + w.tolerance / 100 + 1e-11))
   and m.ratio <= w.n / (w.wanted * (1 - w.tolerance / 100 - 1e-11))
  where abs(ln(w.n1 / m.ratio / w.wanted)) <= 0.75
), torques as (
  select *, absorbed * {NM} / wanted * case when n2 > wanted then (n2 / wanted) ** 2 else 1 end as demand,
    motor * eff * {NM} / n2 as motor_torque,
    absorbed * case when n2 > wanted then (n2 / wanted) ** 3 else n2 / wanted end as load
  from near
), gates as (
  select tag, model, poles,
    case when axes_p is null or axes_m is null then {UNKNOWN}
         when axes_p = axes_m then {PASS} else {FAIL} end as axes,
    case when mount_p is null or mount_m is null then {UNKNOWN}
         when height_m > height_p + 0.1 then {FAIL}
         when height_p is null or height_m is null or holes_p is null or holes_m is null then {UNKNOWN}
         when height_m < height_p - 0.1 or holes_p <> holes_m then {MEND} else {PASS} end as seat,
    case when form_p is null or form_m is null or shaft_p is null or shaft_m is null then {UNKNOWN}
         when abs(shaft_p - shaft_m) <= 0.1 then {PASS} else {MEND} end as output_fit,
    case when input_p is null or input_m is null then {UNKNOWN}
         when abs(input_p - input_m) <= 0.1 then {PASS} else {MEND} end as input_fit,
    case when poles <> 4 then case when motor * eff >= load then {MEND} else {FAIL} end
         when absorbed <= motor and load / (motor * eff) > 1.005 then {FAIL} else {PASS} end as speed,
    case when rated is null then {UNKNOWN}
         when rated / demand >= {FACTOR} - 1e-9 then
           case when rated + 0.5 < motor_torque then {LIMIT} else {PASS} end
         when rated / demand >= {FACTOR_10H} or rated / demand / {FACTOR} >= {LEAST_SHARE} then {LIMIT}
         else {FAIL} end as strength
  from torques
), worst as (
  select tag, model, greatest(axes, seat, output_fit, input_fit, speed, strength) as worst,
    row_number() over (partition by tag, model order by poles <> 4, poles) as way
  from gates
)
select tag,
  count(*) filter (worst = {PASS}) as "drop-in", count(*) filter (worst = {MEND}) as adapt,
  count(*) filter (worst = {LIMIT}) as "stop-gap", count(*) filter (worst = {UNKNOWN}) as measure
from worst where way = 1 group by tag order by tag
"""

VERDICTS = ["drop-in", "adapt", "stop-gap", "measure"]


def table(folder, name):
    """One table of the plant, its headings made short."""
    return pd.read_csv(os.path.join(folder, name)).rename(columns=COLUMNS)


def survey(folder):
    """Counts by position, and the seconds of the join alone."""
    database = duckdb.connect()
    database.execute("set threads = 2")
    database.register("fleet_frame", table(folder, "fleet.csv"))
    database.register("models_frame", table(folder, "models.csv"))
    database.execute("create table fleet as select * from fleet_frame")
    database.execute("create table models as select * from models_frame")
    began = time.perf_counter()
    counts = database.execute(PAIRS).df()
    return counts.set_index("tag"), time.perf_counter() - began


def main():
    print(f"{'positions':>10} {'sparemesh s':>12} {'DuckDB s':>10} {'ratio':>7}  counts")
    for folder in sys.argv[1:]:
        counts, seconds = survey(folder)
        ours = pd.read_csv(os.path.join(folder, "counts.csv")).set_index("tag")
        with open(os.path.join(folder, "seconds.txt"), encoding="utf-8") as file:
            own = float(file.read())
        theirs = counts.reindex(ours.index).fillna(0).astype(int)
        wrong = (ours[VERDICTS] != theirs[VERDICTS]).any(axis=1)
        said = "the same" if not wrong.any() else f"{int(wrong.sum())} positions differ"
        print(f"{len(ours):>10} {own:>12.3f} {seconds:>10.3f} {seconds / own:>7.2f}  {said}")
        if wrong.any():
            print(ours[wrong].head(5).join(theirs[wrong].head(5), suffixes=(None, " peer")).to_string())
            sys.exit(1)


if __name__ == "__main__":
    main()
