"""Checks a corpus of transcriptions on Apache Spark, as many at once as it has cores.

    spark-submit tests/recipe/spark.py --program apical CORPUS ANSWERS

CORPUS is a file, a folder or a pattern of text files, one transcription a line. ANSWERS is
a folder that is made: files of JSON Lines which, put together in the order of their names,
are what one process writes for the faults of the whole corpus, with the number of the line
as `id`. Judging one line needs no other, so how the corpus is cut makes no difference.

The program must be there on every worker: on PATH, or sent along with
`--files apical --program ./apical`.
"""

import argparse
import json
import shlex

from pyspark.sql import SparkSession


def numbered(pair):
    """A line with its number, as an object of JSON Lines."""
    text, index = pair
    return json.dumps({"id": index + 1, "text": text})


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--program", default="apical")
    parser.add_argument("--partitions", type=int, help="pieces to cut the corpus into")
    parser.add_argument("corpus")
    parser.add_argument("answers")
    arguments = parser.parse_args()

    spark = SparkSession.builder.appName("apical check").getOrCreate()
    context = spark.sparkContext
    lines = context.textFile(arguments.corpus, arguments.partitions)
    # Blank lines count, but are no transcriptions.
    texts = lines.zipWithIndex().filter(lambda pair: pair[0].strip(" \t"))
    # Exit status 1 says that something is invalid, which is no failure here; 2 is one.
    check = f"{shlex.quote(arguments.program)} check --input json --format json --faults-only"
    command = f"sh -c {shlex.quote(check + '; test $? -le 1')}"
    faults = texts.map(numbered).pipe(command, checkCode=True)
    faults.saveAsTextFile(arguments.answers)
    spark.stop()


if __name__ == "__main__":
    main()
