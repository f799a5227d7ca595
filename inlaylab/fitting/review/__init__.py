"""Looking back: what each cut taught, readings that do not belong, wear, and beliefs before and after."""
