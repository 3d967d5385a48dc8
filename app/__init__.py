"""duskgrain's window and the way in."""
