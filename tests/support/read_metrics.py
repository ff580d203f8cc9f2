"""Reads an exposition with the OpenMetrics parser of python3-prometheus-client, which enforces the standard,
   and prints each sample as NAME{label="value"} VALUE.   read_metrics.py FILE"""
import sys

from prometheus_client.openmetrics.parser import text_string_to_metric_families

text = open(sys.argv[1], encoding="utf-8", newline="").read()
for family in text_string_to_metric_families(text):
    assert family.documentation, family.name
    assert family.type != "unknown", family.name
    for sample in family.samples:
        labels = ",".join(f"{name}={value!r}" for name, value in sorted(sample.labels.items()))
        print(f"{sample.name}{{{labels}}} {sample.value}")
