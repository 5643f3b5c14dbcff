"""Sharing: which small works may share a carton, and in which ways it may be filled.

Candidates only: which of them are taken is for a search that knows what cartons, foam, work and freight cost. Soft foam
comes first, in the layers of common practice; plank only where soft foam does not keep to the limit of shock. Every
work is also a candidate by itself, as the shop's rules pack it.
"""

from collections.abc import Hashable, Iterator, Sequence
from dataclasses import replace
from itertools import groupby
from typing import Final

from nesting.advice.carriage import Carriage
from nesting.advice.cushion import least_foam, static_stress
from nesting.advice.fits import within
from nesting.crates.cartons.carton import carton
from nesting.crates.cartons.contents import Contents, contents_of, lightest_kg, worst_felt
from nesting.crates.cartons.stock import fits
from nesting.crates.cases.consignment import CartonLoad, apart
from nesting.crates.chosen import CARTON_AS_RULED, CartonDesign
from nesting.crates.limits import never_snug
from nesting.crates.sketch import Sketch, sketch_of
from nesting.crates.traits import Packing, Refused
from nesting.order import Artwork
from nesting.shop.planks import thicknesses
from nesting.shop.shop import Shop
