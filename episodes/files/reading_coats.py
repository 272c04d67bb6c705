"""The coat of a step: from the materials table, or from `dries` on the step."""

from itertools import pairwise

from episodes.amounts import Estimate
from episodes.files.context import Context, Layer, Layers
from episodes.files.products import load_products, product_named
from episodes.files.schema_episode import DriesTable
from episodes.files.values import quoted
from episodes.problems import Place
from episodes.trade.products import Coating, Stage


def coating(context: Context, layers: Layers, saying: str, id: str) -> Coating | None:
    """What a step's coat does, None for a step that puts none on."""
    product, layer = layers.find("coat")
    dries, dries_layer = layers.find("dries")
    if layer is None:
        if dries_layer is not None and dries_layer is layers.own and layers.lacks("coat"):
            text = f"{saying}: `dries` stands without `coat`."
            mend = 'Name what is put on, coat = "..", or write a `wait` step for other drying.'
            context.fault("missing-key", dries_layer.place("dries"), text, mend, id)
        return None
    context.coated.add(id)
    if dries_layer is not None:
        return _as_written(context, product, dries, dries_layer, saying, id)
    return from_table(context, product, layer.place("coat"), saying, id)


def from_table(context: Context, name: str, place: Place, saying: str, id: str) -> Coating | None:
    """A product of the materials table; a fault where it lacks it."""
    product = product_named(name)
    if product is not None:
        return product.coating
    near = context.names.nearest(name, sorted(load_products()))
    text = f"{saying} puts on {quoted(name)}, which the materials table lacks"
    text += f"; did you mean {quoted(near)}?" if near else "."
    mend = (
        "`episodes materials` lists it; for a product of your own write its times:"
        ' dries = { touch = "1h", recoat = "4h", handle = "1d" }.'
    )
    context.fault("unknown-name", place, text, mend, id)
    return None


def _as_written(
    context: Context, name: str, dries: DriesTable, layer: Layer, saying: str, id: str
) -> Coating:
    """Clock times from the tin: no air, no limits; of the product its fumes and cautions stay."""
    own = Layer(dries, layer.source, (*layer.path, "dries"))
    place = layer.place("dries")
    times: dict[Stage, Estimate] = {}
    if dries.touch is not None:
        times["touch"] = dries.touch
    if dries.recoat is not None:
        times["recoat"] = dries.recoat
    elif dries.window is not None:
        second = dries.window[1]
        times["recoat"] = Estimate(second, second, second)
    if dries.handle is not None:
        times["handle"] = dries.handle
    if dries.cure is not None:
        times["cure"] = dries.cure
    missing = [key for key in ("touch", "handle") if own.lacks(key)]
    if own.lacks("recoat") and own.lacks("window"):
        missing.append("recoat` or `window")
    if missing:
        text = f"{saying}: `dries` lacks {' and '.join(f'`{key}`' for key in missing)}."
        mend = 'Write dries = { touch = "1h", recoat = "4h", handle = "1d" }.'
        context.fault("missing-key", place, text, mend, id)
    if dries.recoat is not None and dries.window is not None:
        text = f"{saying}: `dries` has both `recoat` and `window`."
        mend = "Keep one: the second side of a window is its recoat time."
        context.fault("bad-dries", own.place("window"), text, mend, id)
    _check_order(context, dries, own, saying, id)
    product = product_named(name)
    return Coating(
        product=product.id if product else name,
        title=product.title if product else name,
        times=times,
        recoat_by=dries.recoat_by,
        window_until=dries.window[0] if dries.window else None,
        fumes=product.coating.fumes if product else False,
        cautions=product.coating.cautions if product else (),
    )


def _check_order(context: Context, dries: DriesTable, own: Layer, saying: str, id: str) -> None:
    # The second side of a window is left out: a spray that is handled after 5 h and sprayed again
    # after 48 h is the rule rather than a slip.
    stages = [
        (key, time)
        for key in ("touch", "recoat", "handle", "cure")
        if (time := getattr(dries, key)) is not None
    ]
    for (before, earlier), (key, later) in pairwise(stages):
        if later.low < earlier.low or later.likely < earlier.likely or later.high < earlier.high:
            text = f"{saying}: `{key}` in `dries` comes before `{before}`."
            mend = "Touch, recoat, handle and cure come in that order."
            context.fault("bad-dries", own.place(key), text, mend, id)
    if dries.recoat_by is not None and dries.recoat and dries.recoat_by < dries.recoat.likely:
        text = f"{saying}: `recoat_by`, the latest next coat, comes before `recoat`, the earliest."
        context.fault("bad-dries", own.place("recoat_by"), text, "Mend the one or the other.", id)
