"""The scorecard of the quick design and the plan of one camera: three pictures and the table of the detectors."""

import argparse
import shutil
import tempfile
from pathlib import Path

import swimsim

HERE = Path(__file__).parent


def main(argv: list[str] | None = None) -> None:
    """Draw `detection.png`, `confusion.png` and `camera.png`, and print what each detector reaches."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--out", type=Path, default=HERE / "pictures")
    parser.add_argument("--design", default="quick")
    parser.add_argument("--plan", default="planner")
    args = parser.parse_args(argv)
    args.out.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        scored = swimsim.validate(args.design, f"{folder}/card")
        planned = swimsim.plan_camera(HERE / "my_camera.toml", f"{folder}/plan", design=args.plan)
        for what in ("detection", "confusion"):
            drawn = sorted(scored.folder.glob(f"{what}_square_*.png"))[
                -1
            ]  # of one camera, where there is one
            shutil.copy(drawn, args.out / f"{what}.png")
        shutil.copy(planned.folder / "camera.png", args.out / "camera.png")
    print(f"{'fault':19} {'condition':10} {'view':12} {'AUC':>5} {'half from':>9} {'alarms':>8} {'error':>6}")
    for row in scored.rows:
        print(
            f"{row['fault']:19} {row['condition']:10} {row['view']:12} {row['auc, all']:>5} "
            f"{row['half found from']:>9} {row['false alarms']:>8} {row['severity error']:>6}"
        )


if __name__ == "__main__":
    main()
