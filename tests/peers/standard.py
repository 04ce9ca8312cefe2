"""A file of `hirsel export BOOK standard` beside the schemas of the standard, by the public library jsonschema.

    python standard.py FILE.json FOLDER_OF_SCHEMAS

Each collection and each resource is held against its own schema, with times checked as RFC 3339 asks. A schema does not
refuse fields it does not know nor says anything of null: both are looked for here."""

import json
import sys
from pathlib import Path

from jsonschema import Draft7Validator
from referencing import Registry, Resource
from referencing.jsonschema import DRAFT7


def load(folder):
    """Every schema under its own address: none is read twice."""
    files = ((p.as_uri(), json.loads(p.read_text("utf-8-sig"))) for p in sorted(folder.glob("*/*.json")))
    return Registry().with_resources((uri, Resource(schema, DRAFT7)) for uri, schema in files)


def known(path, schema, seen):
    """Every field that a schema and its bases know, with its own schema."""
    fields = {}
    if "$ref" in schema:
        path = (path.parent / schema["$ref"]).resolve()
        schema = seen.setdefault(path, json.loads(path.read_text("utf-8-sig")))
        fields |= known(path, schema, seen)
        return fields
    for base in schema.get("allOf", []):
        fields |= known(path, base, seen)
    for name, field in schema.get("properties", {}).items():
        fields[name] = (path, field)
    return fields


def items(path, schema, seen):
    """The schema of an array's items."""
    if "$ref" in schema:
        path = (path.parent / schema["$ref"]).resolve()
        schema = seen.setdefault(path, json.loads(path.read_text("utf-8-sig")))
    return path, schema.get("items")


def strays(path, schema, value, at, seen):
    if value is None:
        yield f"{at}: null"
    elif isinstance(value, dict):
        fields = known(path, schema, seen)
        for key, part in value.items():
            if key in fields:
                yield from strays(*fields[key], part, f"{at}/{key}", seen)
            elif fields:
                yield f"{at}/{key}: no such field"
    elif isinstance(value, list):
        path, schema = items(path, schema, seen)
        for i, part in enumerate(value):
            if schema:
                yield from strays(path, schema, part, f"{at}/{i}", seen)


def main(file, folder):
    # Without its own package the library leaves times unchecked and says nothing of it.
    assert "date-time" in Draft7Validator.FORMAT_CHECKER.checkers, "rfc3339-validator is not there"
    folder = Path(folder).resolve()
    registry, seen, validators = load(folder), {}, {}
    document = json.loads(Path(file).read_text("utf-8"))
    faults, counts = [], {}

    def look(schema, value, at):
        path = folder / schema
        assert path.exists(), f"there is no schema {schema}"
        if schema not in validators:
            ref, checker = {"$ref": path.as_uri()}, Draft7Validator.FORMAT_CHECKER
            validators[schema] = Draft7Validator(ref, registry=registry, format_checker=checker)
        errors = validators[schema].iter_errors(value)
        faults.extend(f"{at}: {e.message[:200]} ({list(e.path)})" for e in errors)
        whole = seen.setdefault(path, json.loads(path.read_text("utf-8-sig")))
        faults.extend(strays(path, whole, value, at, seen))

    for name, collection in document.items():
        # Its members one by one, each by the schema of the type it names.
        look(f"collections/{name}.json", collection | {"member": []}, name)
        assert collection["view"]["totalItems"] == len(collection["member"]), name
        for i, one in enumerate(collection["member"]):
            look(f"resources/{one['resourceType']}.json", one, f"{name} {i}")
            counts[one["resourceType"]] = counts.get(one["resourceType"], 0) + 1
    # A check that finds nothing wrong in anything would be none.
    found = len(faults)
    wrong = dict(document["icarWeightEventCollection"]["member"][0])
    wrong |= {"eventDateTime": "yesterday", "colour": "grey", "remark": None}
    wrong.pop("animal")
    look("resources/icarWeightEventResource.json", wrong, "wrong")
    assert len(faults) - found >= 4, faults[found:]
    del faults[found:]
    assert not faults, "\n".join(faults[:20] + [f"{len(faults)} in all"])
    assert len(counts) >= 14, f"only {sorted(counts)}"
    print(f"{sum(counts.values())} resources of {len(counts)} kinds are as their schemas say: {counts}")


if __name__ == "__main__":
    main(*sys.argv[1:])
