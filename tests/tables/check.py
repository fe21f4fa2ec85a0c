"""The tables of `ductseam batch`, loaded as they are by other people's readers, and its records run by an engine.

    python check.py PROGRAM FOLDER_OF_SKETCHES

Fails at the first thing that is not as the guide says. Nothing is skipped.
"""

import json
import pathlib
import subprocess
import sys
import tempfile

import dask.bag
import duckdb
import polars
from distributed import Client, LocalCluster

DRAWS = ["--draws", "500"]


def run(program, *words, text=None, expect=0):
    done = subprocess.run([program, "batch", *words], input=text, capture_output=True, text=True, encoding="utf-8")
    if done.returncode != expect:
        raise SystemExit(f"{words} ended with {done.returncode}, not {expect}:\n{done.stderr}")
    return done.stdout


def through(program, lines):
    """What a worker does with its part of the records: the program reads them and gives their rows."""
    return run(program, "-", "--by", "seam", *DRAWS, text="".join(lines)).splitlines()


def check(what, holds):
    if not holds:
        raise SystemExit(f"not so: {what}")
    print(f"  {what}")


def with_duckdb(out, systems):
    print(f"DuckDB {duckdb.__version__}")
    for table in ["systems", "joint_types", "seams"]:
        duckdb.sql(f"create or replace table {table}_csv as from '{out}/{table}.csv'")
        duckdb.sql(f"create or replace table {table} as from read_json('{out}/{table}.ndjson', sample_size = -1)")
        names = [column[0] for column in duckdb.sql(f"from {table}").description]
        same = [column[0] for column in duckdb.sql(f"from {table}_csv").description]
        check(f"{table}: {len(names)} columns, the same in both forms", names == same)
        counts = duckdb.sql(f"select (select count(*) from {table}), (select count(*) from {table}_csv)").fetchall()[0]
        check(f"{table}: {counts[0]} rows in both forms", counts[0] == counts[1] > 0)
    types = dict(duckdb.sql("select column_name, data_type from information_schema.columns where table_name = 'seams'").fetchall())
    check("shares are numbers, names are text", types["share"] == "DOUBLE" and types["seam"] == "VARCHAR")
    rows = duckdb.sql("select system, sum(share) from seams group by system").fetchall()
    check(f"the shares of each of {systems} systems add up to 1", len(rows) == systems and all(abs(s - 1) < 1e-9 for _, s in rows))
    apart = duckdb.sql(
        "select max(abs(t.share - s.share)) from (select system, joint_type, sum(share) as share from seams group by all) s"
        " join joint_types t using (system, joint_type)"
    ).fetchall()[0][0]
    check("the shares of the joint types are those of their seams", apart < 1e-9)
    twins = duckdb.sql(
        "select count(*) from seams a join seams_csv b on a.system = b.system and a.seam = b.seam where a.share = b.share and a.place = b.place"
    ).fetchall()[0][0]
    check("both forms hold the same digits", twins == duckdb.sql("select count(*) from seams").fetchall()[0][0])
    duckdb.sql(f"copy seams to '{out}/seams.parquet' (format parquet)")
    back = duckdb.sql(f"select count(*), sum(share) from '{out}/seams.parquet'").fetchall()[0]
    check("Parquet made of it holds all rows", back[0] == twins and abs(back[1] - systems) < 1e-8)


def with_polars(out, systems):
    print(f"Polars {polars.__version__}")
    rows = polars.read_ndjson(f"{out}/seams.ndjson", infer_schema_length=None)
    table = polars.read_csv(f"{out}/seams.csv", infer_schema_length=None)
    check(f"{rows.height} rows of seams in both forms", rows.height == table.height > 0 and rows.columns == table.columns)
    shares = rows.group_by("system").agg(polars.col("share").sum())
    check("the shares of each system add up to 1", shares.height == systems and ((shares["share"] - 1).abs() < 1e-9).all())
    most = rows.filter(polars.col("rank") == 1).height
    check("one seam of each system ranks first", most == systems)


def with_an_engine(program, records, folder):
    print(f"Dask {dask.__version__}")
    file = folder / "homes.ndjson"
    file.write_text("".join(records), encoding="utf-8")
    alone = run(program, str(file), "--by", "seam", *DRAWS).splitlines()
    with LocalCluster(n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None) as cluster, Client(cluster):
        parts = dask.bag.read_text(str(file), blocksize=file.stat().st_size // 4)
        check(f"{parts.npartitions} parts of the records", parts.npartitions > 2)
        together = parts.map_partitions(lambda lines: through(program, lines)).compute()
    check(f"{len(alone)} rows from two workers, byte for byte those of one run", alone == list(together))


def main():
    program, models = str(pathlib.Path(sys.argv[1]).resolve()), pathlib.Path(sys.argv[2])
    with tempfile.TemporaryDirectory() as temporary:
        folder = pathlib.Path(temporary)
        out = folder / "answers"
        run(program, str(models), "-o", str(out), *DRAWS)
        systems = len(list(models.glob("*.yaml")))
        with_duckdb(out, systems)
        with_polars(out, systems)
        records = [
            json.dumps({"id": f"{path.stem}-{copy}", "sketch": path.read_text(encoding="utf-8")}, ensure_ascii=copy == 1) + "\n"
            for copy in [1, 2]
            for path in sorted(models.glob("*.yaml"))
        ]
        with_an_engine(program, records, folder)
    print("all as the guide says")


if __name__ == "__main__":
    main()
