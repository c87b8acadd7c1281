"""Advice round a plan: fallbacks, tolerances, moves, refusals, kit; one idea a file."""

from standmark.optimizer.advice.advice import Advice, CameraAdvice, StageAdvice, plan_advice

__all__ = ["Advice", "CameraAdvice", "StageAdvice", "plan_advice"]
