"""What holds for every test before it starts."""

import os

from threadpoolctl import threadpool_info


def test_matrix_products_have_one_thread(reasoner):
    """The library that was loaded took the number of threads asked for, which is one unless told otherwise."""
    asked = int(os.environ["OPENBLAS_NUM_THREADS"])
    found = [one["num_threads"] for one in threadpool_info() if one["internal_api"] == "openblas"]

    assert [asked] * len(found) == found
