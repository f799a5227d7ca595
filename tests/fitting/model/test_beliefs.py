from inlaylab import share
from inlaylab.fitting.model.beliefs import KIT, Beliefs


def test_the_file_that_comes_with_the_kit_is_what_a_fit_begins_with():
    shipped = Beliefs.read(share.data() / "kit_beliefs.json")
    assert shipped == KIT and shipped.basis == "judgement"
    assert not any(prior.shops or prior.cuts or prior.readings for prior in shipped.priors.values())
    assert all("judgement" in prior.source for prior in shipped.priors.values())
