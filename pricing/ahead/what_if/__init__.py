"""What if: named scenarios of one order, each a full quote, side by side."""

from pricing.ahead.what_if.run import Answer, run_scenarios
from pricing.ahead.what_if.scenarios import Scenario, read_scenarios, scenarios_from

__all__ = ["Answer", "Scenario", "read_scenarios", "run_scenarios", "scenarios_from"]
