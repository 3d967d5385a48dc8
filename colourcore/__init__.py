"""duskgrain's computation: from photographs of fumed wood to hours, without a window."""
