"""What a verdict is made of: comparing, confirming, how far an unknown can go, and facts that cannot all be true."""
