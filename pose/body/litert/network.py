"""One network opened in LiteRT: a picture in, its answers out."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from pose.body.model import network, unusable
from pose.body.quiet import quiet

Singles = NDArray[np.float32]


class Network:
    """A network with one input and several answers, which are told apart by their sizes.

    Parameters
    ----------
    model : Path
        Bundle that holds it.
    name : str
        Its name inside the bundle.
    answers : tuple of int
        Number of values in each answer that is wanted, in the order wanted; all different.

    Raises
    ------
    ModelError
        Not a bundle with this network, or one with other answers.
    """

    def __init__(self, model: Path, name: str, answers: tuple[int, ...]) -> None:
        content = network(model, name)
        with quiet():
            from ai_edge_litert.interpreter import Interpreter

            try:
                # One thread: the chunks of a clip run side by side, one a core.
                self._interpreter = Interpreter(model_content=content, num_threads=1)
                self._interpreter.allocate_tensors()
            except (RuntimeError, ValueError) as error:
                raise unusable(model) from error
        by_size = {
            int(np.prod(answer["shape"])): int(answer["index"])
            for answer in self._interpreter.get_output_details()
        }
        if not set(answers) <= set(by_size):
            raise unusable(model)
        self._outputs = [by_size[size] for size in answers]
        (self._input,) = (int(i["index"]) for i in self._interpreter.get_input_details())

    def run(self, picture: Singles) -> list[Singles]:
        """The answers to an (h, w, 3) picture of the network's own size, flat, copied."""
        self._interpreter.set_tensor(self._input, picture[np.newaxis])
        self._interpreter.invoke()  # gives other threads Python's lock
        return [self._interpreter.get_tensor(output).ravel() for output in self._outputs]
