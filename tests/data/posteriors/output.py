"""Writing of the JSON files: rounded numbers, one line for each innermost object."""
import json
import pathlib
import re

HERE = pathlib.Path(__file__).resolve().parent


def rounded(o, digits):
    if isinstance(o, dict):
        return {k: rounded(v, digits) for k, v in o.items()}
    if isinstance(o, (list, tuple)):
        return [rounded(v, digits) for v in o]
    if isinstance(o, bool) or isinstance(o, (int, str)):
        return o
    return float(f"%.{digits}g" % o)


def write(name, data, digits):
    inputs = ("about", "title", "constants", "joint_types", "seams", "readings", "looks")       # as they are
    data = {k: v if k in inputs else rounded(v, digits) for k, v in data.items()}
    text = json.dumps(data, indent=1)
    for _ in range(2):
        text = re.sub(r"\{[^{}\[\]]*\}|\[[^{}\[\]]*\]", lambda t: re.sub(r"\s*\n\s*", " ", t.group(0)), text)
    text = re.sub(r"\{[^{}]*?\[[^{}\[\]]*\][^{}]*\}", lambda t: re.sub(r"\s*\n\s*", " ", t.group(0)), text)
    (HERE / f"{name}.json").write_text(text + "\n")
