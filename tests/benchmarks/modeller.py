"""What a formulation needs of a solver: variables, linear constraints (some only if a yes/no variable is 1), a solve.

Two ways to provide it: PuLP, with CBC or HiGHS, where "only if" is a big constant worked out from the bounds; and
OR-Tools CP-SAT, where amounts are whole numbers of small steps and "only if" is the solver's own. One formulation then
serves three solvers.
"""

import os
import time
from abc import ABC, abstractmethod
from collections.abc import Iterable, Sequence
from decimal import Decimal
from fractions import Fraction
from math import ceil, floor, lcm
from typing import Any

import highspy
import pulp
from ortools.sat.python import cp_model

Term = tuple[Any, "Variable"]
"""A coefficient (a number or a decimal) and a variable."""

NEAR = Fraction(1, 10**7)
"""Coefficients that need more digits are rounded to these, on the side that breaks no rule."""


class OutOfTime(Exception):  # noqa: N818 - an answer: the programme is too large for the time
    """Building the programme took all the time there was."""


class Variable:
    """A variable from 0 to ``most``; ``step`` is what one unit of the solver's own variable stands for."""

    __slots__ = ("inner", "most", "step", "whole")

    def __init__(self, inner: Any, most: Decimal, step: Fraction, whole: bool) -> None:
        self.inner, self.most, self.step, self.whole = inner, most, step, whole


class Modeller(ABC):
    """Builds a programme; ``ends`` is the time (of ``perf_counter``) when all must be over."""

    def __init__(self, seconds: float) -> None:
        self.ends = time.perf_counter() + seconds
        self.made = 0

    def whole(self, most: int) -> Variable:
        """A whole number from 0 to ``most``."""
        self._watch_time()
        return self._variable(most, Fraction(1), True)

    def yes(self) -> Variable:
        """0 or 1."""
        return self.whole(1)

    def amount(self, most: Decimal, step: str = "0.01") -> Variable:
        """An amount from 0 to ``most``: continuous, or in these steps where the solver knows whole numbers only."""
        self._watch_time()
        return self._variable(most, Fraction(step), False)

    def _watch_time(self) -> None:
        self.made += 1
        if self.made % 1000 == 0 and time.perf_counter() > self.ends:
            raise OutOfTime

    @abstractmethod
    def _variable(self, most: Decimal | int, step: Fraction, whole: bool) -> Variable: ...

    @abstractmethod
    def at_most(self, terms: Iterable[Term], limit: object, given: Variable | None = None) -> None:
        """Σ terms ≤ limit, where ``given`` is named only if that is 1."""

    @abstractmethod
    def exactly(self, terms: Iterable[Term], total: object) -> None:
        """Σ terms = total."""

    @abstractmethod
    def minimise(self, terms: Sequence[Term], within: float) -> bool:
        """Solve until ``within`` that share of the optimum or the time is up; whether something was found."""

    @abstractmethod
    def number(self, variable: Variable) -> int:
        """The value of a whole variable in what was found."""


class WithPulp(Modeller):
    """PuLP with CBC or HiGHS."""

    def __init__(self, seconds: float, solver: str) -> None:
        super().__init__(seconds)
        self.solver = solver
        self.problem = pulp.LpProblem("slots", pulp.LpMinimize)

    def _variable(self, most: Decimal | int, step: Fraction, whole: bool) -> Variable:
        kind = pulp.LpInteger if whole else pulp.LpContinuous
        return Variable(pulp.LpVariable(f"x{self.made}", 0, float(most), kind), Decimal(most), step, whole)

    def at_most(self, terms: Iterable[Term], limit: object, given: Variable | None = None) -> None:
        kept = [(float(factor), variable) for factor, variable in terms]
        bound = float(limit)  # type: ignore[arg-type]
        if given is not None:
            slack = sum(max(0.0, factor) * float(variable.most) for factor, variable in kept) - bound
            if slack <= 0:
                return
            kept.append((slack, given))
            bound += slack
        self._add(kept, pulp.LpConstraintLE, bound)

    def exactly(self, terms: Iterable[Term], total: object) -> None:
        self._add([(float(factor), variable) for factor, variable in terms], pulp.LpConstraintEQ, float(total))  # type: ignore[arg-type]

    def _add(self, terms: Sequence[tuple[float, Variable]], sense: int, right: float) -> None:
        self._watch_time()
        expression = pulp.LpAffineExpression()
        for factor, variable in terms:
            expression.addterm(variable.inner, factor)
        self.problem += pulp.LpConstraint(expression, sense, rhs=right)

    def minimise(self, terms: Sequence[Term], within: float) -> bool:
        objective = pulp.LpAffineExpression()
        for factor, variable in terms:
            objective.addterm(variable.inner, float(factor))
        self.problem.setObjective(objective)
        left = self.ends - time.perf_counter()
        if left < 1:
            raise OutOfTime
        threads = os.cpu_count() or 1
        if self.solver == "HiGHS":
            highspy.Highs.resetGlobalScheduler(True)  # else it refuses another number of threads than came before
            runner: Any = pulp.HiGHS(msg=False, timeLimit=left, gapRel=within, threads=threads)
        else:
            runner = pulp.PULP_CBC_CMD(msg=False, timeLimit=left, gapRel=within, threads=threads)
        self.problem.solve(runner)
        return self.problem.sol_status in (pulp.LpSolutionOptimal, pulp.LpSolutionIntegerFeasible)

    def number(self, variable: Variable) -> int:
        return round(variable.inner.varValue or 0)


class WithCpSat(Modeller):
    """OR-Tools CP-SAT. A step is chosen for each amount; a rounded coefficient never lets a rule be broken."""

    def __init__(self, seconds: float) -> None:
        super().__init__(seconds)
        self.model = cp_model.CpModel()
        self.solution = cp_model.CpSolver()

    def _variable(self, most: Decimal | int, step: Fraction, whole: bool) -> Variable:
        units = ceil(Fraction(most) / step)
        return Variable(self.model.new_int_var(0, units, ""), Decimal(most), step, whole)

    def at_most(self, terms: Iterable[Term], limit: object, given: Variable | None = None) -> None:
        self._watch_time()
        kept, scale = _scaled(terms, limit)
        whole = [(ceil(factor * scale), variable) for factor, variable in kept]
        constraint = self.model.add(_sum_of(whole) <= floor(Fraction(limit) * scale))  # type: ignore[arg-type]
        if given is not None:
            constraint.only_enforce_if(given.inner)

    def exactly(self, terms: Iterable[Term], total: object) -> None:
        kept, scale = _scaled(terms, total)
        whole = [(round(factor * scale), variable) for factor, variable in kept]
        self.model.add(_sum_of(whole) == round(Fraction(total) * scale))  # type: ignore[arg-type]

    def minimise(self, terms: Sequence[Term], within: float) -> bool:
        kept, scale = _scaled(terms, 0)
        self.model.minimize(_sum_of([(round(factor * scale), variable) for factor, variable in kept]))
        left = self.ends - time.perf_counter()
        if left < 1:
            raise OutOfTime
        self.solution.parameters.max_time_in_seconds = left
        self.solution.parameters.relative_gap_limit = within
        self.solution.parameters.num_workers = max(8, os.cpu_count() or 1)
        return self.solution.solve(self.model) in (cp_model.OPTIMAL, cp_model.FEASIBLE)

    def number(self, variable: Variable) -> int:
        return int(self.solution.value(variable.inner))


def _sum_of(terms: Sequence[tuple[int, Variable]]) -> Any:
    variables = [variable.inner for _, variable in terms]
    return cp_model.LinearExpr.weighted_sum(variables, [factor for factor, _ in terms])


def _scaled(terms: Iterable[Term], limit: object) -> tuple[list[tuple[Fraction, Variable]], int]:
    """Coefficients for the solver's own variables, and what makes them and the limit whole, or nearly so."""
    kept = [(Fraction(factor) * variable.step, variable) for factor, variable in terms]
    scale = lcm(*(factor.denominator for factor, _ in kept), Fraction(limit).denominator)  # type: ignore[arg-type]
    return kept, min(scale, int(1 / NEAR))
